"""Simulated meals: curves with a known true response, as a sensor would have read them.

Nothing here is taken from the models that are judged by it: a response is a gamma-shaped hump, what it
varies by from serving to serving is gamma distributed (skewed; CV 25 and 40 % are the within-person figures
of laboratories and of free life, methods in DEVELOPERS.md), the noise of the sensor is autocorrelated.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.curves import measure_curve
from analysis.evenness import lose_points
from analysis.results import Curve, Floats

MINUTES = np.arange(-60.0, 301.0, 5.0)
NOISE_SD, NOISE_AR = 0.15, 0.7
"""Sensor noise from reading to reading (mmol/L) and its autocorrelation."""


def noise(rng: np.random.Generator, n: int, sd: float = NOISE_SD, ar: float = NOISE_AR) -> Floats:
    """Return AR(1) noise with this marginal SD, shape (n,)."""
    steps = rng.normal(0.0, sd * np.sqrt(1 - ar**2), n)
    out = np.empty(n)
    out[0] = rng.normal(0.0, sd)
    for k in range(1, n):
        out[k] = ar * out[k - 1] + steps[k]
    return out


def hump(minutes: Floats, area: float, peak_min: float, shape: float = 2.0) -> Floats:
    """Return a hump (mmol/L) that begins at 0, is highest at `peak_min` and has this area over two hours."""
    x = np.maximum(minutes, 0.0) / peak_min
    form = np.where(minutes > 0, x**shape * np.exp(shape * (1 - x)), 0.0)
    fine = np.linspace(0.0, 120.0, 241)
    y = (fine / peak_min) ** shape * np.exp(shape * (1 - fine / peak_min))
    unit = float(np.trapezoid(y, fine))
    scaled: Floats = form * (area / unit)
    return scaled


@dataclass(frozen=True)
class Kind:
    """A meal that can be eaten again: its mean area (mmol/L·min over two hours), carbohydrate (g), peak."""

    area: float
    carbs: float
    peak_min: float = 45.0
    fat: float = 0.0
    fibre: float = 0.0


def eat(rng: np.random.Generator, kind: Kind, cv: float, *, minutes: Floats = MINUTES) -> Floats:
    """Return what the sensor reads around one serving (mmol/L, shape of `minutes`)."""
    area = kind.area * rng.gamma(1 / cv**2, cv**2)
    peak = kind.peak_min * float(np.exp(rng.normal(0.0, 0.15)))
    baseline = 5.0 + rng.normal(0.0, 0.25)
    read: Floats = baseline + hump(minutes, area, peak) + noise(rng, minutes.size)
    return read


def curve_of(read: Floats, minutes: Floats = MINUTES) -> Curve:
    """Measure a simulated serving."""
    return measure_curve(minutes, read)


def true_score(rng: np.random.Generator, kind: Kind, cv: float, n: int = 200) -> float:
    """Return the mean score over very many servings, by playing them."""
    lost = [sum(lose_points(curve_of(eat(rng, kind, cv))).values()) for _ in range(n)]
    return 100.0 - float(np.mean(lost))


def week_of_equals(rng: np.random.Generator, meals: int = 20, area: float = 110.0) -> list[Kind]:
    """Return meals that all do the same, whatever is in them."""
    return [
        Kind(area, float(rng.uniform(20, 90)), 45.0, float(rng.uniform(2, 35)), float(rng.uniform(1, 12)))
        for _ in range(meals)
    ]


def week_of_unequals(rng: np.random.Generator, meals: int = 12, follows: float = 0.5) -> list[Kind]:
    """Return meals of unlike response, partly as their carbohydrate has it.

    follows: the correlation of log response and log carbohydrate, as free life shows (R² about 0.25)
    """
    z = rng.normal(size=meals)
    own = rng.normal(size=meals)
    area = np.exp(np.log(100.0) + 0.55 * (follows * z + np.sqrt(1 - follows**2) * own))
    carbs = np.exp(np.log(50.0) + 0.45 * z)
    fat, fibre = rng.uniform(2, 35, meals), rng.uniform(1, 12, meals)
    peaks = rng.uniform(35, 65, meals)
    return [Kind(*map(float, row)) for row in zip(area, carbs, peaks, fat, fibre, strict=True)]


def draw_servings(rng: np.random.Generator, meals: int, servings: int) -> NDArray[np.int_]:
    """Return which meal each serving of a week is of: every meal once, the rest as habit has it (unequal)."""
    habit = rng.dirichlet(np.full(meals, 0.7))
    more = rng.choice(meals, size=max(0, servings - meals), p=habit)
    return np.concatenate([np.arange(meals), more])
