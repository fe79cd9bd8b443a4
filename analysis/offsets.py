"""How far a sensor reads above finger-pricks, or above another sensor worn at the same time.

Each reading of the other series is compared with the sensor's straight line at that minute, where the
sensor has a reading within 10 min on both sides. Pairs while glucose moves faster than 0.1 mmol/L a minute
are left out: fluid under the skin follows blood by 5 to 10 minutes [basu2013], which would then look like an
offset. Pairs of one three-hour stretch share whatever moved both, so they count as one: their mean. The
interval is Student's t over the stretches.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
import pandas as pd

from analysis.columns import READINGS, check_columns
from analysis.errors import InsufficientData
from analysis.evenness import LEVEL, T_95
from analysis.results import Floats

APART_MIN = 10.0
STEEP_MMOL_MIN = 0.1
STRETCH_MIN = 180.0
NEED = 3


@dataclass(frozen=True, slots=True)
class Offset:
    """Sensor minus the other series (mmol/L) with its interval at `level`.

    pairs: readings compared; n: stretches of three hours that they make; left_out: pairs while moving
    """

    mmol: float
    low: float
    high: float
    pairs: int
    n: int
    left_out: int
    level: float = LEVEL


def find_offset(sensor: pd.DataFrame, other: pd.DataFrame) -> Offset:
    """Return the offset of a sensor's READINGS from those of finger-pricks or another sensor.

    Readings at a sensor's limit are left out. Raises InsufficientData with fewer than three stretches
    (`estimate` is the mean of those there are).
    """
    check_columns(sensor, READINGS)
    check_columns(other, READINGS)
    at, mmol = _read(sensor)
    when, value = _read(other)
    right = np.minimum(at.searchsorted(when), max(0, at.size - 1))
    if at.size < 2 or when.size == 0:
        raise InsufficientData("offset of the sensor", 0, NEED, "comparisons")
    left = np.where(at[right] == when, right, right - 1)
    inside = (left >= 0) & (at[right] >= when)
    left = np.maximum(left, 0)
    inside &= (when - at[left] <= APART_MIN) & (at[right] - when <= APART_MIN)
    slope = np.gradient(mmol, at)
    moving = np.abs(np.interp(when, at, slope)) > STEEP_MMOL_MIN
    used = inside & ~moving
    apart = np.interp(when, at, mmol)[used] - value[used]
    _, stretch = np.unique(when[used] // STRETCH_MIN, return_inverse=True)
    means = np.bincount(stretch, weights=apart) / np.bincount(stretch) if apart.size else apart
    n = means.size
    if n < NEED:
        estimate = float(means.mean()) if n else None
        raise InsufficientData("offset of the sensor", n, NEED, "comparisons", estimate)
    mean = float(means.mean())
    half = T_95[min(n - 1, len(T_95)) - 1] * float(means.std(ddof=1)) / sqrt(n)
    return Offset(mean, mean - half, mean + half, int(used.sum()), n, int((inside & moving).sum()))


def _read(frame: pd.DataFrame) -> tuple[Floats, Floats]:
    """Return the sorted minutes and values of the readings, one a minute stamp."""
    known = frame[frame["mmol"].notna() & (frame["flag"] == "")]
    at = known["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6
    stamps, where, counts = np.unique(at, return_inverse=True, return_counts=True)
    return stamps, np.bincount(where, weights=known["mmol"].to_numpy(dtype=np.float64)) / counts
