"""What meals typically do, judged together: each meal's own servings against what meals at large do.

The best of twenty noisy means is best by luck in good part. So a meal's mean is drawn towards what its
nutrients let one expect, the more so the fewer its servings and the more alike the meals are (empirical
Bayes [efron1975]).

The scale. t = sqrt(100 - score), the root of the points lost, varies from serving to serving by about the
same amount whatever its level: SD 0.7 to 1.5 for scores from 95 to 30, where the score itself varies by 3 to
22 points (tests/simulated/meals.py, CV 25 and 40 %).

The model. Of meal i with n_i servings: t_ij ~ N(theta_i, s²), theta_i ~ N(x_i·b, tau²). Nobody knows s, tau,
or whether nutrients tell anything for this person, so none of them is fixed: each combination of a grid
counts by how well it explains the servings (its marginal likelihood) times its prior; tau = 0 (alike but for
their nutrients) and b = 0 are among them. Within a combination everything is normal and exact.

Two things are taken from it: the likeliest combination gives the estimates, as REML would, so that alike
meals are shown as alike; draws over all combinations give ranges and probabilities. Estimates are then up to
one point of score farther from the truth than the mean of the draws (root mean square), but of twenty equal
meals the best and the worst are shown 0 to 2 points apart, not 2 to 9 (tests/bench/conclusions.py).
"""

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from analysis.results import Floats

TAUS = {0.0: 0.22, 0.3: 0.13, 0.6: 0.13, 1.0: 0.13, 1.5: 0.13, 2.2: 0.13, 3.0: 0.13}
"""How unlike meals of like nutrients are (SD of t), with prior weights: judgement."""
SDS = {0.7: 0.1, 0.9: 0.225, 1.15: 0.35, 1.45: 0.225, 1.85: 0.1}
"""How unlike the servings of a meal are (SD of t), with prior weights, around what is measured above."""
LEVEL = (5.0, 2.5)
"""Prior mean and SD of t of a person's meals: scores from 0 to 100 lie within two SD."""
DRAWS = 4000
SEED = 20260


@dataclass(frozen=True, slots=True)
class Together:
    """What meals do, judged together, in points lost on average over very many servings.

    lost: the estimates, shape (n,); draws: from the joint posterior, shape (draws, n)
    """

    lost: Floats
    draws: Floats


@dataclass(frozen=True, slots=True)
class _Case:
    """One combination of the grid: its log weight, SD of servings, mean and covariance of theta."""

    log_weight: float
    sd: float
    centre: Floats
    cov: Floats


def judge_together(
    t: Floats, meal: NDArray[np.int_], nutrients: Floats, slopes: tuple[tuple[float, float], ...]
) -> Together:
    """Judge meals together from their servings.

    t: the root of the points lost by each serving, shape (m,); meal: which meal it is of, 0 to n - 1
    nutrients: what is to foretell t, shape (n, p), centred; slopes: prior mean and SD of each of the p slopes
    The draws come from a fixed seed. Raises ValueError where a meal has no serving.
    """
    count = np.bincount(meal).astype(np.float64)
    if not count.all():
        raise ValueError("each meal needs a serving")
    mean = np.bincount(meal, t) / count
    within = float(((t - mean[meal]) ** 2).sum())
    ones = np.ones((count.size, 1))
    designs = [(ones, np.array([LEVEL]))]
    if nutrients.size and np.ptp(nutrients, axis=0).any():
        designs.append((np.hstack([ones, nutrients]), np.array([LEVEL, *slopes])))
    cases = []
    for (design, prior), (tau, of_tau), (sd, of_sd) in product(designs, TAUS.items(), SDS.items()):
        expected = design @ prior[:, 0]
        between = (design * prior[:, 1] ** 2) @ design.T + tau**2 * np.eye(count.size)
        total = between + np.diag(sd**2 / count)
        gain = np.linalg.solve(total, between).T
        off = mean - expected
        log_weight = -0.5 * (off @ np.linalg.solve(total, off) + np.linalg.slogdet(total)[1])
        log_weight -= (t.size - count.size) * np.log(sd) + within / (2 * sd**2)
        log_weight += np.log(of_tau * of_sd)
        cases.append(_Case(float(log_weight), sd, expected + gain @ off, between - gain @ between))
    return _mix(cases)


def _mix(cases: list[_Case]) -> Together:
    """Take the estimates from the likeliest case and draw from all."""
    weights = np.exp(np.array([case.log_weight for case in cases]) - max(c.log_weight for c in cases))
    weights /= weights.sum()
    best = cases[int(weights.argmax())]
    rng = np.random.default_rng(SEED)
    draws = []
    for case, times in zip(cases, rng.multinomial(DRAWS, weights), strict=True):
        if times:
            values, vectors = np.linalg.eigh((case.cov + case.cov.T) / 2)
            root = vectors * np.sqrt(np.maximum(values, 0.0))
            theta = case.centre + rng.normal(size=(times, case.centre.size)) @ root.T
            draws.append(_lost(theta, case.sd**2))
    return Together(_lost(best.centre, best.sd**2 + np.diag(best.cov)), np.concatenate(draws))


def _lost(theta: Floats, variance: Floats | float) -> Floats:
    """Return the mean of t² where t has this mean and variance, cut to what a score can lose."""
    lost: Floats = np.minimum(np.maximum(theta, 0.0) ** 2 + variance, 100.0)
    return lost
