"""Straight-line models of daily values whose noise hangs together from day to day, over a grid of noises.

y = design·b + e, e_t = rho·e_(t-1) + noise, b normal beforehand. How much days vary and rho are not known:
each pair of a grid counts by its marginal likelihood times its prior; within one, all is normal and exact.
AR(1) is whitened by Prais and Winsten's transformation; between days that are not neighbours rho counts to
the power of their distance.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.results import Floats

RHOS = {0.0: 0.18, 0.2: 0.22, 0.4: 0.2, 0.55: 0.16, 0.7: 0.14, 0.85: 0.1}
"""Autocorrelation from day to day, and how likely each is beforehand (judgement)."""


@dataclass(frozen=True, slots=True)
class Case:
    """The coefficients under one rho and one SD of the noise: mean and covariance, and the log weight."""

    log_weight: float
    centre: Floats
    cov: Floats


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known beforehand: mean and SD of each coefficient, and the SDs that the noise may have."""

    centre: Floats
    sd: Floats
    noises: Sequence[float]


def whiten(values: Floats, power: Floats) -> Floats:
    """Return values (n, ...) without their autocorrelation; power: rho to the days between two, (n - 1,)."""
    spread = np.sqrt(1 - power**2)
    shape = (-1, *[1] * (values.ndim - 1))
    moved = (values[1:] - power.reshape(shape) * values[:-1]) / spread.reshape(shape)
    whitened: Floats = np.concatenate([values[:1], moved])
    return whitened


def weigh_cases(design: Floats, y: Floats, power: Floats, prior: Prior, log_prior: float) -> list[Case]:
    """Return the cases of one rho, one for each SD of the noise; the shared log weight is `log_prior`."""
    x, v = whiten(design, power), whiten(y, power)
    precision, off = np.diag(prior.sd**-2.0), v - x @ prior.centre
    xx, xv, vv = x.T @ x, x.T @ off, float(off @ off)
    jacobian = -np.log(np.sqrt(1 - power**2)).sum()
    squares = np.array(prior.noises) ** 2
    totals = precision + xx / squares[:, None, None]  # all noises at once: one by one takes twice as long
    covs: Floats = np.linalg.inv(totals).astype(np.float64)
    moved = covs @ xv / squares[:, None]
    log_p = -0.5 * (vv - moved @ xv) / squares - y.size * np.log(prior.noises) + jacobian
    log_p += -0.5 * np.linalg.slogdet(totals)[1] - np.log(prior.sd).sum() + log_prior
    return [
        Case(weight, prior.centre + each, cov)
        for weight, each, cov in zip(log_p.tolist(), moved, covs, strict=True)
    ]


def draw_cases(cases: Sequence[Case], draws: int, seed: int) -> tuple[Floats, Floats]:
    """Return draws of the coefficients over all cases, shape (draws, k), and the cases' weights."""
    weights = np.exp(np.array([case.log_weight for case in cases]) - max(c.log_weight for c in cases))
    weights /= weights.sum()
    rng = np.random.default_rng(seed)
    drawn = [
        rng.multivariate_normal(case.centre, case.cov, times, method="cholesky")
        for case, times in zip(cases, rng.multinomial(draws, weights), strict=True)
        if times
    ]
    return np.vstack(drawn), weights


def days_apart(day: NDArray[np.int_], rho: float) -> Floats:
    """Return rho to the power of the days between neighbours, shape (n - 1,)."""
    power: Floats = rho ** np.diff(day).astype(np.float64)
    return power
