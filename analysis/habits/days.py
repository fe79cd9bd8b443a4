"""What the food model says of its levers when meals of one day vary together.

Some days run higher than others, whatever was eaten; a lever that belongs to days (a short night, training on
Tuesdays) then seems to do what its few days did. The fitted model is taken as linear around its mode, and the
variance of the areas gets a part that the meals of a day share (their logarithms, SD delta):

    V = c · (diag(v) + delta² · mu mu' within a day)

with v the model's own variance, weighted as its heavy tails ask for. Each of a few deltas and c counts by its
evidence. On simulated people (python -m tests.bench.conclusions_habits) this holds what errors clustered by
day hold in larger records, and needs no least number of days.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.foods.design import LEADING
from analysis.foods.model import TAIL_DF, Fit, mean_area
from analysis.results import Floats

DELTAS = (0.07, 0.1, 0.15, 0.2, 0.3)
"""SD of what a day does (log); no person's days are all alike, so that it is never taken for none."""
SHARES, USUAL_SHARE, SHARE_SD = (0.5, 0.65, 0.8, 1.0, 1.25), 0.9, 0.25
"""c, its middle, and its log SD: judgement."""
WIDER = 1.1
"""Variances of levers times this: what a model that is not the truth leaves out; by simulated people."""
STEP = 1e-4


@dataclass(frozen=True, slots=True)
class DayFit:
    """The normal posterior of a model's parameters, shape (q,) and (q, q); day_sd: mean delta."""

    fit: Fit
    mean: Floats
    covariance: Floats
    day_sd: float

    def factor(self, name: str) -> tuple[float, float]:
        """Return the mean and SD of what one factor multiplies by, as a logarithm."""
        k = len(LEADING) + self.fit.design.factors.index(name)
        return float(self.mean[k]), float(self.covariance[k, k] ** 0.5)


def fit_days(
    fit: Fit,
    days: Sequence[object],
    priors: Mapping[str, tuple[float, float]] | None = None,
    around: Floats | None = None,
) -> DayFit:
    """Return the posterior with days of their own level.

    days: of each row, None for one that is alone; priors: by parameter, other means and SD than the model's
    around: where the model is taken as linear, shape (q,); None = at the fitted one's mean
    """
    design = fit.design
    names = (*LEADING, *design.factors)
    middle = np.concatenate([design.prior_mean, np.zeros(len(design.foods))])
    sd = np.concatenate([design.prior_sd, np.full(len(design.foods), fit.tau2**0.5)])
    for name, (one_mean, one_sd) in (priors or {}).items():
        middle[names.index(name)], sd[names.index(name)] = one_mean, one_sd
    theta = fit.draws.mean(axis=0) if around is None else around
    x = design.x(slice(None), design.held)
    mu = mean_area(theta[None, :], design.held, x)[0]
    slopes = _slopes(fit, theta)
    off = design.area - mu
    weight = (TAIL_DF + 1) / (TAIL_DF + off**2 / fit.variance) / fit.variance
    aim = off + slopes @ (theta - middle)
    groups = _number(days)
    found = [one for delta in DELTAS for one in _solve(delta, weight, mu, slopes, aim, sd**-2.0, groups)]
    evidence = np.array([one[0] for one in found])
    each = np.exp(evidence - evidence.max())
    each /= each.sum()
    means = np.array([one[2] for one in found])
    mean = each @ means
    apart = means - mean
    covariance = np.einsum("k,kij->ij", each, np.array([one[3] for one in found]))
    covariance += (each[:, None] * apart).T @ apart
    return DayFit(fit, middle + mean, WIDER * covariance, float(each @ np.array([one[1] for one in found])))


def _number(days: Sequence[object]) -> NDArray[np.intp]:
    """Return a number for each day; a row without one has its own."""
    keys = [("row", i) if day is None else ("day", day) for i, day in enumerate(days)]
    place = {key: k for k, key in enumerate(dict.fromkeys(keys))}
    return np.array([place[key] for key in keys], dtype=np.intp)


def _slopes(fit: Fit, theta: Floats) -> Floats:
    """Return the derivatives of mu by the parameters, shape (n, q)."""
    design = fit.design
    x = design.x(slice(None), design.held)
    apart = STEP * np.eye(theta.size)
    up, down = (mean_area(theta + sign * apart, design.held, x) for sign in (1, -1))
    found: Floats = ((up - down) / (2 * STEP)).T
    return found


def _solve(
    delta: float,
    weight: Floats,
    mu: Floats,
    slopes: Floats,
    aim: Floats,
    precision: Floats,
    groups: NDArray[np.intp],
) -> list[tuple[float, float, Floats, Floats]]:
    """Return for each c the log evidence, delta, mean, covariance; a day's block inverted by its rank."""
    shared = np.bincount(groups, weight * mu**2)
    lost = delta**2 / (1 + delta**2 * shared)
    both = np.column_stack([slopes, aim])
    sums = np.zeros((shared.size, both.shape[1]))
    np.add.at(sums, groups, (weight * mu)[:, None] * both)
    inner = both.T @ (weight[:, None] * both) - sums.T @ (lost[:, None] * sums)
    size = np.log1p(delta**2 * shared).sum() - np.log(weight).sum()
    found: list[tuple[float, float, Floats, Floats]] = []
    each = np.array(SHARES)
    curvatures = inner[:-1, :-1] / each[:, None, None] + np.diag(precision)
    covariances, sizes = np.linalg.inv(curvatures), np.linalg.slogdet(curvatures)[1]
    for c, covariance, log_size in zip(SHARES, covariances, sizes.tolist(), strict=True):
        mean = covariance @ inner[:-1, -1] / c
        evidence = -0.5 * (
            size
            + mu.size * np.log(c)
            + log_size
            - np.log(precision).sum()
            + inner[-1, -1] / c
            - float(mean @ inner[:-1, -1]) / c
            + (np.log(c / USUAL_SHARE) / SHARE_SD) ** 2
        )
        found.append((float(evidence), delta, mean, covariance))
    return found
