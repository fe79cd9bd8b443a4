"""How much a next serving would tell: by how much it is expected to lessen what is not known.

A serving x with noise of variance s² changes the covariance V of the parameters to
V' = V - V g g'V / (s² + g'V g), g being the slope of its expected response by them. V is the inverse of what
the prior and the occasions so far say (their slopes, weighted by the variance of each), at the middle of the
posterior. Not the covariance of the model's draws: these are widened for the sake of its intervals, so that
sums that many meals have settled would seem open. What is asked: what each food adds to the plate it is
mostly on, and what a lever takes off or adds at a mean meal; all in mmol/L·min, each as much as the other.
"""

from collections import Counter
from collections.abc import Collection, Sequence

import numpy as np

from analysis.foods.design import LEADING
from analysis.foods.model import Fit, mean_area
from analysis.foods.rows import Row
from analysis.plan.candidates import Candidate, usual_amount
from analysis.results import Floats

STEP = 1e-4
"""Of a parameter, to find a slope."""


def find_covariance(fit: Fit) -> Floats:
    """Return the covariance of the parameters, shape (q, q)."""
    design = fit.design
    slopes = find_slopes(fit, design.held, design.x(slice(None), design.held))
    prior: Floats = np.concatenate([design.prior_sd**2, np.full(len(design.foods), fit.tau2)])
    found: Floats = np.asarray(np.linalg.inv(np.diag(1 / prior) + (slopes / fit.variance) @ slopes.T), float)
    return found


def find_slopes(fit: Fit, held: Floats, x: Floats) -> Floats:
    """Return the slope of the expected response to some plates by each parameter, shape (q, m).

    held: (3, m, F); x: what multiplies, (m, p)
    """
    middle = fit.draws.mean(axis=0)
    steps = STEP * np.eye(middle.size)
    found: Floats = (mean_area(middle + steps, held, x) - mean_area(middle - steps, held, x)) / (2 * STEP)
    return found


def ask(fit: Fit, rows: Sequence[Row], foods: Sequence[str], levers: Sequence[str]) -> Floats:
    """Return the slopes of what each food adds and what each lever does, shape (q, foods + levers)."""
    design = fit.design
    usual = [_usual_row(rows, food) for food in foods]
    at = np.array([k for k, _ in usual], dtype=np.intp)
    having = design.held[:, at].copy()
    without = having.copy()
    for i, food in enumerate(foods):
        k = design.foods.index(food)
        having[:, i, k] = np.median(design.held[:, usual[i][1], k], axis=1)
        without[:, i, k] = 0.0
    added = find_slopes(fit, having, design.x(at, having)) - find_slopes(fit, without, design.x(at, without))
    found = np.column_stack([added, np.zeros((len(added), len(levers)))])
    for i, name in enumerate(levers):
        amount = usual_amount(rows, name)
        factor = float(np.exp(amount * np.median(fit.factor(name))))
        k = len(LEADING) + design.factors.index(name)
        found[k, len(foods) + i] = float(design.area.mean()) * amount * factor
    return found


def _usual_row(rows: Sequence[Row], food: str) -> tuple[int, list[int]]:
    """Return the last occasion of the plate that a food is mostly on, and all occasions of the food."""
    at = [k for k, row in enumerate(rows) if any(e.food == food for e in row.eaten)]
    plates = {k: frozenset(e.food for e in rows[k].eaten) for k in at}
    most = Counter(plates.values()).most_common(1)[0][0]
    return max(k for k in at if plates[k] == most), at


def serve(fit: Fit, candidates: Sequence[Candidate], levers: Collection[str]) -> tuple[Floats, Floats]:
    """Return the slopes of the response to each candidate, shape (q, m), and its variance, (m,).

    levers: those that are off but where a candidate names one
    """
    design = fit.design
    held = np.stack([one.held for one in candidates], axis=1)
    at = np.array([one.row for one in candidates], dtype=np.intp)
    x = design.x(at, held)
    for lever in levers:
        x[:, design.factors.index(lever)] = 0.0
    for i, one in enumerate(candidates):
        if one.kind == "lever":
            x[i, design.factors.index(one.of)] = one.amount
    middle = mean_area(fit.draws.mean(axis=0)[None, :], held, x)[0]
    return find_slopes(fit, held, x), fit.sd[0] ** 2 + (fit.sd[1] * middle) ** 2


def lessen(covariance: Floats, asked: Floats, served: Floats, noise: Floats) -> Floats:
    """Return by how much the variance of each thing asked is expected to fall, shape (m, asked).

    asked, served: slopes, (q, asked) and (q, m); noise: variance of each serving, (m,)
    """
    shared = served.T @ covariance
    found: Floats = (shared @ asked) ** 2 / (noise + (shared.T * served).sum(axis=0))[:, None]
    return found


def know(covariance: Floats, served: Floats, noise: float) -> Floats:
    """Return the covariance that is left once a serving of these slopes, (q,), is known up to its noise."""
    shared = covariance @ served
    found: Floats = covariance - np.outer(shared, shared) / (noise + served @ shared)
    return found
