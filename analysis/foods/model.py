"""One person's response to food: all foods, levers, clock and sensors estimated jointly.

The mean signed area of an occasion is

    mu = k0 + exp(slot + sensor + levers·x + b·before - a·fat ratio - h·fibre) · S·(load / S)^gamma
    load = sum(carbs_f · kappa_f),   S = 80 mmol/L·min

with kappa_f the response for a gram of carbohydrate of food f (mmol/L·min/g), log kappa_f ~ N(k, tau²): a food
does what its carbohydrate does on average until it shows otherwise. gamma is below 1: twice the load is less
than twice the response. fat ratio = min(fat / max(carbs, 5), 1.2).
`before` is what the meal before left: its carbohydrate, halved every 83 min (fading by 120 min).

The signed area, not the incremental one: the latter is cut at zero, so that with a noisy sensor a meal that does
nothing seems to do something. Its variance is s0² + (s1·mu)² + what gram ranges and separations add; it grows with
the response, as real repeats do. Residuals have heavy tails (Student's t with `TAIL_DF` degrees of freedom).

Fitted to the posterior mode by damped Gauss-Newton with weights anew at each step; around it the posterior is taken
as normal (Laplace). tau, s0 and s1 are not known: each of a few values of tau counts by its evidence, s0 and s1
are taken where they explain the residuals best. Priors: `PRIORS`; judgement from published responses.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from analysis.foods.rows import Row
from analysis.results import Floats

TAUS = {0.12: 0.35, 0.3: 0.4, 0.55: 0.25}
PRIORS = {
    "k0": (0.0, 12.0),
    "k": (log(1.8), 0.5),
    "fat": (0.25, 0.2),
    "fibre": (0.02, 0.02),
    "before": (0.0, 0.006),
    "gamma": (0.75, 0.15),
}
"""Mean and SD. 1.8 mmol/L·min for a gram: 90 for 50 g, as reference foods in mixed meals have it."""
SLOT_SD, SENSOR_SD, LEVER_SD = 0.2, 0.1, 0.3
S0 = (6.0, 10.0, 15.0, 22.0, 32.0)
S1 = (0.1, 0.18, 0.26, 0.36, 0.5)
TAIL_DF = 6.0
WIDER = 2.0
"""Variances of the normal posterior times this: what mode, tau and a model that is not the truth leave out."""
FADE_MIN = 120.0
MOST_FAT_RATIO, LEAST_CARBS = 1.2, 5.0
LOAD, LEAST_LOAD = 80.0, 0.5
LEADING = ("k0", "k", "gamma")
STEPS, DRAWS, SEED = 25, 400, 20263
RANGE_SD = 4.0
"""A gram range from low to high counts as so many SD: amounts said to lie in it mostly do."""


@dataclass(frozen=True, slots=True)
class Design:
    """The rows as arrays: carbs (n, F) by food; x (n, p) what multiplies; names of both."""

    area: Floats
    carbs: Floats
    x: Floats
    extra: Floats
    foods: tuple[str, ...]
    factors: tuple[str, ...]
    prior_mean: Floats
    prior_sd: Floats


@dataclass(frozen=True, slots=True)
class Fit:
    """The posterior as draws, shape (draws, 3 + p + F): k0, k, gamma, factors, each food's log kappa minus k."""

    design: Design
    draws: Floats
    mode: Floats
    sd: tuple[float, float]
    variance: Floats

    def mean(self, theta: Floats, carbs: Floats, x: Floats) -> Floats:
        """Return mu for parameters (m, q) and rows carbs (n, F), x (n, p); shape (m, n)."""
        return _mean(theta, carbs, x)


def design_of(rows: Sequence[Row]) -> Design:
    """Lay rows out as arrays. Raises ValueError without rows."""
    if not rows:
        raise ValueError("a model takes rows")
    foods = tuple(sorted({e.food for row in rows for e in row.eaten if e.carbs_g > 0}))
    place = {food: k for k, food in enumerate(foods)}
    carbs, extra = np.zeros((len(rows), len(foods))), np.zeros(len(rows))
    for i, row in enumerate(rows):
        wide = 0.0
        for e in row.eaten:
            if e.carbs_g <= 0:
                continue
            carbs[i, place[e.food]] += e.carbs_g
            if e.grams_low is not None and e.grams_high is not None and e.grams > 0:
                wide += (e.carbs_g * (e.grams_high - e.grams_low) / e.grams / RANGE_SD) ** 2
        extra[i] = row.area_sd**2 + wide * exp(2 * PRIORS["k"][0])
    columns: list[tuple[str, Floats, tuple[float, float]]] = []
    for slot in sorted({row.slot for row in rows} - {""}):
        columns.append((f"slot {slot}", np.array([float(r.slot == slot) for r in rows]), (0.0, SLOT_SD)))
    sensors = list(dict.fromkeys(row.sensor for row in rows))
    for k, sensor in enumerate(sensors if len(sensors) > 1 else []):
        columns.append((f"sensor {k}", np.array([float(r.sensor == sensor) for r in rows]), (0.0, SENSOR_SD)))
    for lever in sorted({name for row in rows for name in row.levers}):
        columns.append((lever, np.array([r.levers.get(lever, 0.0) for r in rows]), (0.0, LEVER_SD)))
    fat = np.array([min(r.fat_g / max(r.carbs_g, LEAST_CARBS), MOST_FAT_RATIO) for r in rows])
    columns.append(("fat", -(fat - fat.mean()), PRIORS["fat"]))
    fibre = np.array([r.fibre_g for r in rows])
    columns.append(("fibre", -(fibre - fibre.mean()), PRIORS["fibre"]))
    before = np.array([r.before_carbs * exp(-r.before_min / FADE_MIN) for r in rows])
    columns.append(("before", before - before.mean(), PRIORS["before"]))
    mean = [
        *(PRIORS[name][0] for name in LEADING),
        *(prior[0] for _, _, prior in columns),
        *[0.0] * len(foods),
    ]
    sd = [
        *(PRIORS[name][1] for name in LEADING),
        *(prior[1] for _, _, prior in columns),
        *[np.nan] * len(foods),
    ]
    return Design(
        np.array([row.area for row in rows]), carbs, np.column_stack([c for _, c, _ in columns]), extra, foods,
        tuple(name for name, _, _ in columns), np.array(mean), np.array(sd),
    )  # fmt: skip


def _mean(theta: Floats, carbs: Floats, x: Floats) -> Floats:
    p = x.shape[1]
    kappa = np.exp(theta[:, 1:2] + theta[:, 3 + p :])
    load = np.maximum(kappa @ carbs.T, LEAST_LOAD)
    factor = np.exp(theta[:, 3 : 3 + p] @ x.T)
    found: Floats = theta[:, :1] + factor * LOAD * (load / LOAD) ** theta[:, 2:3]
    return found


def fit_foods(rows: Sequence[Row]) -> Fit:
    """Fit the model to occasions. Raises ValueError without rows; with few, the posterior is the prior, nearly."""
    design = design_of(rows)
    found = [(_fit_one(design, tau), prior) for tau, prior in TAUS.items()]
    evidence = np.array([one[3] + log(prior) for one, prior in found])
    weight = np.exp(evidence - evidence.max())
    weight /= weight.sum()
    rng = np.random.default_rng(SEED)
    draws = []
    for (one, _), times in zip(found, rng.multinomial(DRAWS, weight), strict=True):
        if times:
            root = np.linalg.cholesky(one[1] + 1e-9 * np.eye(len(one[1])))
            draws.append(one[0] + rng.normal(size=(times, one[0].size)) @ root.T)
    best, _ = found[int(weight.argmax())]
    s0, s1 = best[2]
    mu = _mean(best[0][None, :], design.carbs, design.x)[0]
    return Fit(design, np.vstack(draws), best[0], best[2], s0**2 + (s1 * mu) ** 2 + design.extra)


def _fit_one(design: Design, tau: float) -> tuple[Floats, Floats, tuple[float, float], float]:
    """Return mode, covariance, (s0, s1) and the log evidence for one tau."""
    sd = np.where(np.isnan(design.prior_sd), tau, design.prior_sd)
    precision = sd**-2.0
    theta = design.prior_mean.copy()
    scales, damping, last = (15.0, 0.26), 1.0, np.inf
    curvature = np.diag(precision)
    for _ in range(STEPS):
        mu = _mean(theta[None, :], design.carbs, design.x)[0]
        off = design.area - mu
        scales = _scales(off, mu, design.extra)
        variance = scales[0] ** 2 + (scales[1] * mu) ** 2 + design.extra
        weight = (TAIL_DF + 1) / (TAIL_DF + off**2 / variance) / variance
        jacobian = _slopes(theta, design)
        curvature = jacobian.T @ (weight[:, None] * jacobian) + np.diag(precision)
        slope = jacobian.T @ (weight * off) - precision * (theta - design.prior_mean)
        step = np.linalg.solve(curvature + damping * np.diag(np.diag(curvature)) * 0.1, slope)
        theta = theta + np.clip(
            step, -0.5 - 5.0 * (np.arange(theta.size) == 0), 0.5 + 5.0 * (np.arange(theta.size) == 0)
        )
        size = float(np.abs(step / sd).max())
        damping = max(damping * (0.5 if size < last else 2.0), 1e-3)
        last = size
        if size < 1e-3:
            break
    mu = _mean(theta[None, :], design.carbs, design.x)[0]
    variance = scales[0] ** 2 + (scales[1] * mu) ** 2 + design.extra
    off = design.area - mu
    likelihood = -0.5 * (np.log(variance) + (TAIL_DF + 1) * np.log1p(off**2 / variance / TAIL_DF)).sum()
    prior = -0.5 * (precision * (theta - design.prior_mean) ** 2).sum() - np.log(sd).sum()
    evidence = likelihood + prior - 0.5 * np.linalg.slogdet(curvature)[1]
    return theta, WIDER * np.linalg.inv(curvature), scales, float(evidence)


def _slopes(theta: Floats, design: Design) -> Floats:
    """Return the derivatives of mu by the parameters, shape (n, q)."""
    p = design.x.shape[1]
    kappa = np.exp(theta[1] + theta[3 + p :])
    loads = design.carbs * kappa
    load = np.maximum(loads.sum(axis=1), LEAST_LOAD)
    whole = np.exp(design.x @ theta[3 : 3 + p]) * LOAD * (load / LOAD) ** theta[2]
    each = whole[:, None] * theta[2] * loads / load[:, None]
    return np.column_stack(
        [np.ones(load.size), each.sum(axis=1), whole * np.log(load / LOAD), whole[:, None] * design.x, each]
    )


def _scales(off: Floats, mu: Floats, extra: Floats) -> tuple[float, float]:
    """Return s0 and s1 that explain the residuals best."""
    best, found = -np.inf, (S0[0], S1[0])
    for s0 in S0:
        for s1 in S1:
            variance = s0**2 + (s1 * mu) ** 2 + extra
            fit = -0.5 * (np.log(variance) + (TAIL_DF + 1) * np.log1p(off**2 / variance / TAIL_DF)).sum()
            # what laboratories find (CV 25 to 40 %) weighs as a few occasions do
            fit -= 2.0 * (log(s1 / 0.27) / 0.5) ** 2 + 1.0 * (log(s0 / 12.0) / 0.6) ** 2
            if fit > best:
                best, found = float(fit), (s0, s1)
    return found
