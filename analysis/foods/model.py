"""One person's response to food: all foods, levers, clock and sensors estimated jointly.

The mean signed area of an occasion is

    mu = k0 + exp(slot + sensor + levers·x + b·before + r·fat ratio) · load / (1 + g·load / S)
    load = sum(kappa_f · (carbs_f - a·fat_f - h·fibre_f)),   S = 80 mmol/L·min

with kappa_f the response for a gram of food f (mmol/L·min/g), log kappa_f ~ N(k, tau²): a food does what its
nutrients do on average until it shows otherwise. Where g is above 0 twice the load is less than twice the
response; a load below 0 lowers it in proportion. fat ratio = min(fat / max(carbs, 5), 1.2).
`before` is what the meal before left: its carbohydrate, halved every 83 min (fading by 120 min).

The signed area, not the incremental one: the latter is cut at zero, so that with a noisy sensor a meal that
does nothing seems to do something. Its variance is s0² + (s1·mu)² + what gram ranges and separations add; it
grows with the response, as real repeats do. Residuals have heavy tails (Student's t, `TAIL_DF`).

Fitted to the posterior mode by damped Gauss-Newton with weights anew at each step; around it the posterior is
taken as normal (Laplace). tau, g, s0 and s1 are not known: each of a few values of tau and g counts by its
evidence, s0 and s1 are taken where they explain the residuals best. Priors: `PRIORS`, judgement from
published responses. Figures on simulated people: `analysis.foods.effects`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log

import numpy as np

from analysis.foods.design import LEADING, Design, lay_out
from analysis.foods.rows import Row
from analysis.kept import once
from analysis.results import Floats

TAUS = {0.14: 0.3, 0.27: 0.45, 0.5: 0.25}
"""Spread of foods' log response for a gram, and how probable it is beforehand."""
BENDS = {0.0: 0.55, 0.15: 0.25, 0.4: 0.2}
"""How much less than in proportion large loads do: g, and how probable it is beforehand."""
S0 = (6.0, 10.0, 15.0, 22.0, 32.0, 47.0, 70.0, 100.0)
S1 = (0.1, 0.18, 0.26, 0.36, 0.5)
USUAL_S0, USUAL_S1 = (12.0, 0.6, 1.0), (0.27, 0.5, 2.0)
"""Middle, log SD and weight: what laboratories find (CV 25 to 40 %) weighs as a few occasions do.
Logs of free life reach s0 of 60 to 100."""
TAIL_DF = 20.0
WIDER, WIDER_FACTORS = 1.6, 2.0
"""Variances of the normal posterior times these, of foods and of the rest: what the mode and a model that is
not the truth leave out. Chosen on simulated people."""
LOAD = 80.0
STEPS, DRAWS, SEED = 25, 400, 20263
FIRST_SCALES = (15.0, 0.26)
LONGEST_STEP, LONGEST_STEP_K0, NEAR = 0.5, 5.5, 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The posterior as draws, shape (draws, 5 + p + F): `LEADING`, factors, each food's log kappa minus k.

    tau2: mean of tau²; sd: s0 (mmol/L·min) and s1; variance: of each row's area, shape (n,)
    """

    design: Design
    draws: Floats
    tau2: float
    sd: tuple[float, float]
    variance: Floats

    @property
    def own(self) -> Floats:
        """Each food's log kappa minus k, shape (draws, F)."""
        return self.draws[:, len(LEADING) + len(self.design.factors) :]

    def factor(self, name: str) -> Floats:
        """The draws of what one factor multiplies by, as a logarithm, shape (draws,)."""
        return self.draws[:, len(LEADING) + self.design.factors.index(name)]


@dataclass(frozen=True, slots=True)
class _Mode:
    theta: Floats
    covariance: Floats
    scales: tuple[float, float]
    evidence: float


def mean_area(theta: Floats, held: Floats, x: Floats) -> Floats:
    """Return mu, shape (m, n), of parameters (m, q) for rows that hold (3, n, F) and x (n, p)."""
    first = len(LEADING)
    k0, k, g, a, h = (theta[:, i : i + 1] for i in range(first))
    kappa = np.exp(k + theta[:, first + x.shape[1] :])
    carbs, fat, fibre = held
    load = kappa @ carbs.T - a * (kappa @ fat.T) - h * (kappa @ fibre.T)
    factor = np.exp(theta[:, first : first + x.shape[1]] @ x.T)
    found: Floats = k0 + factor * load / (1 + g * np.maximum(load, 0.0) / LOAD)
    return found


@once
def fit_foods(rows: Sequence[Row]) -> Fit:
    """Fit the model; with few occasions the posterior is nearly the prior. Raises ValueError without any."""
    design = lay_out(rows)
    x = design.x(slice(None), design.held)
    kinds = [(tau, g, log(p) + log(q)) for tau, p in TAUS.items() for g, q in BENDS.items()]
    modes: list[_Mode] = []
    for tau, g, _ in kinds:
        modes.append(_find_mode(design, x, tau, g, modes[-1].theta if modes else None))
    evidence = np.array([mode.evidence + prior for mode, (_, _, prior) in zip(modes, kinds, strict=True)])
    weight = np.exp(evidence - evidence.max())
    weight /= weight.sum()
    rng = np.random.default_rng(SEED)
    draws = []
    for mode, times in zip(modes, rng.multinomial(DRAWS, weight), strict=True):
        root = np.linalg.cholesky(mode.covariance + 1e-9 * np.eye(mode.theta.size))
        draws.append(mode.theta + rng.normal(size=(times, mode.theta.size)) @ root.T)
    best = modes[int(weight.argmax())]
    mu = mean_area(best.theta[None, :], design.held, x)[0]
    tau2 = float(weight @ np.array([tau for tau, _, _ in kinds]) ** 2)
    return Fit(design, np.vstack(draws), tau2, best.scales, _variance(best.scales, mu, design.extra))


def _find_mode(design: Design, x: Floats, tau: float, g: float, start: Floats | None) -> _Mode:
    """Return mode, covariance, (s0, s1) and the log evidence for one tau and g; start: where it sets out."""
    foods = len(design.foods)
    sd = np.concatenate([design.prior_sd, np.full(foods, tau)])
    middle = np.concatenate([design.prior_mean, np.zeros(foods)])
    middle[LEADING.index("g")] = g
    precision = sd**-2.0
    prior_curvature = np.diag(precision)
    longest = np.where(np.arange(sd.size) == 0, LONGEST_STEP_K0, LONGEST_STEP)
    theta = middle.copy() if start is None else np.where(np.arange(sd.size) == LEADING.index("g"), g, start)
    scales, damping, last = FIRST_SCALES, 1.0, np.inf
    curvature = prior_curvature
    for _ in range(STEPS):
        mu = mean_area(theta[None, :], design.held, x)[0]
        off = design.area - mu
        scales = _find_scales(off, mu, design.extra)
        variance = _variance(scales, mu, design.extra)
        weight = (TAIL_DF + 1) / (TAIL_DF + off**2 / variance) / variance
        slopes = _slopes(theta, design, x)
        curvature = slopes.T @ (weight[:, None] * slopes) + prior_curvature
        uphill = slopes.T @ (weight * off) - precision * (theta - middle)
        damped = curvature.copy()
        damped.flat[:: sd.size + 1] *= 1 + 0.1 * damping
        step = np.linalg.solve(damped, uphill)
        theta = theta + np.clip(step, -longest, longest)
        size = float(np.abs(step / sd).max())
        damping = max(damping * (0.5 if size < last else 2.0), 1e-3)
        last = size
        if size < NEAR:
            break
    mu = mean_area(theta[None, :], design.held, x)[0]
    fit = _log_likelihood(design.area - mu, _variance(scales, mu, design.extra))
    prior = -0.5 * (precision * (theta - middle) ** 2).sum() - np.log(sd).sum()
    evidence = float(fit + prior - 0.5 * np.linalg.slogdet(curvature)[1])
    wide = np.sqrt(np.where(np.arange(sd.size) < sd.size - foods, WIDER_FACTORS, WIDER))
    covariance: Floats = np.linalg.inv(curvature) * np.outer(wide, wide)
    return _Mode(theta, covariance, scales, evidence)


def _slopes(theta: Floats, design: Design, x: Floats) -> Floats:
    """Return the derivatives of mu by the parameters, shape (n, q)."""
    first = len(LEADING)
    _, k, g, a, h = theta[:first]
    carbs, fat, fibre = design.held * np.exp(k + theta[first + x.shape[1] :])
    loads = carbs - a * fat - h * fibre
    load = loads.sum(axis=1)
    bent = g * np.maximum(load, 0.0) / LOAD
    factor = np.exp(x @ theta[first : first + x.shape[1]])
    whole = factor * load / (1 + bent)
    by_load = (factor / (1 + bent) ** 2)[:, None]
    leading = [
        np.ones(load.size),
        by_load[:, 0] * load,
        np.zeros(load.size),
        -by_load[:, 0] * fat.sum(axis=1),
        -by_load[:, 0] * fibre.sum(axis=1),
    ]
    return np.column_stack([*leading, whole[:, None] * x, by_load * loads])


def _variance(scales: tuple[float, float], mu: Floats, extra: Floats) -> Floats:
    found: Floats = scales[0] ** 2 + (scales[1] * mu) ** 2 + extra
    return found


def _log_likelihood(off: Floats, variance: Floats) -> Floats:
    """Return it, summed over the last axis, up to a constant: Student's t around the mean."""
    found: Floats = -0.5 * (np.log(variance) + (TAIL_DF + 1) * np.log1p(off**2 / variance / TAIL_DF)).sum(
        axis=-1
    )
    return found


def _find_scales(off: Floats, mu: Floats, extra: Floats) -> tuple[float, float]:
    """Return s0 and s1 that explain the residuals best."""
    pairs, pull = _lay_out_scales(S0, S1, (USUAL_S0, USUAL_S1))
    variance = pairs[:, :1] ** 2 + (pairs[:, 1:] * mu) ** 2 + extra
    s0, s1 = pairs[int((_log_likelihood(off, variance) - pull).argmax())]
    return float(s0), float(s1)


@lru_cache(1)
def _lay_out_scales(
    s0s: tuple[float, ...], s1s: tuple[float, ...], usual: tuple[tuple[float, float, float], ...]
) -> tuple[Floats, Floats]:
    """Return all pairs of s0 and s1, shape (m, 2), and what speaks against each beforehand, (m,)."""
    pairs = np.array([(s0, s1) for s0 in s0s for s1 in s1s])
    pull = np.zeros(len(pairs))
    for k, (middle, spread, weight) in enumerate(usual):
        pull += weight * (np.log(pairs[:, k] / middle) / spread) ** 2
    return pairs, pull
