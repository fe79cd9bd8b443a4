"""Simulated fasting values: a person whose mornings hang together, sensors that read unlike each other."""

import numpy as np
from numpy.typing import NDArray

from analysis.results import Floats
from tests.simulated.meals import noise

Mornings = tuple[NDArray[np.int_], Floats, list[int]]


def mornings(
    rng: np.random.Generator,
    days: int = 28,
    *,
    slope: float = 0.0,
    ar: float = 0.5,
    sd: float = 0.3,
    life: int = 14,
    offset_sd: float = 0.35,
    unlogged: bool = False,
    missing: float = 0.1,
) -> Mornings:
    """Return day numbers, values (mmol/L) and sensors.

    slope: mmol/L a week; sd, ar: of the mornings; life: days of a sensor; unlogged: all under one name
    Noise is skewed (a bad night raises, nothing lowers as much), sensors differ in gain, not by a shift.
    """
    day = np.arange(days)
    rough = noise(rng, days, 1.0, ar)
    skewed = np.exp(0.35 * rough) - np.exp(0.35**2 / 2)
    true = 5.2 + slope * day / 7 + sd * skewed / 0.37
    worn = day // life
    gain = 1 + rng.normal(0, offset_sd / 5.2, int(worn.max()) + 1)
    read = true * gain[worn] + rng.normal(0, 0.08, days)
    kept = rng.random(days) >= missing
    kept[:2] = True
    names = [0 if unlogged else int(w) for w in worn[kept]]
    return day[kept], read[kept], names
