"""Night dips that look like lying on the sensor: marked, never deleted.

Pressure on a sensor makes it read low for as long as one lies on it. Such a dip is sudden, deep, short, at
night and over at once (common knowledge, from memory; the lines below are ours):

    deep      1.0 mmol/L or more below the level, the median of the two hours before and after
    sudden    from less than half of that depth to all of `DEEP_MMOL` within 20 min, on both sides
    short     at most 90 min below half of it
    at night  all of it while asleep; without a logged sleep, between 22:00 and 8:00 by the local clock

A true low comes on slowly and does not end of itself within minutes; where it is slower than this on either
side it is not marked.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import LOCAL_READINGS, SLEEP, check_columns
from analysis.results import Floats

LEVEL_WINDOW = "240min"
DEEP_MMOL = 1.0
HALF_MMOL = DEEP_MMOL / 2
SUDDEN_MIN = 20.0
SHORT_MIN = 90.0
NIGHT_FROM_MIN, NIGHT_TO_MIN = 1320.0, 480.0
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class NightDip:
    """A dip from the first to the last low reading; depth_mmol below the level around it."""

    from_at: datetime
    to_at: datetime
    depth_mmol: float
    lowest_mmol: float


def find_night_dips(readings: pd.DataFrame, *, sleep: pd.DataFrame | None = None) -> tuple[NightDip, ...]:
    """Return the dips of a LOCAL_READINGS frame that look like pressure on the sensor, in order of time.

    readings: rows in any order; a dip needs readings on both of its sides, at most 20 min away
    sleep: a SLEEP frame; nights that it does not hold are judged by the clock
    """
    check_columns(readings, LOCAL_READINGS)
    frame = readings[readings["mmol"].notna()].sort_values("at")
    if frame.empty:
        return ()
    mmol = frame["mmol"].to_numpy(dtype=np.float64)
    series = pd.Series(mmol, index=pd.DatetimeIndex(frame["at"]))
    level = series.rolling(LEVEL_WINDOW, center=True).median().to_numpy(dtype=np.float64)
    at_min = frame["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6
    night = _find_night(at_min, frame["minute"].to_numpy(dtype=np.float64), sleep)
    below = level - mmol
    low = np.concatenate([[False], below >= HALF_MMOL, [False]])
    starts, ends = np.flatnonzero(~low[:-1] & low[1:]), np.flatnonzero(low[:-1] & ~low[1:])
    dips = []
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        if start == 0 or end == mmol.size or not night[start:end].all():
            continue
        if _is_pressure(at_min, below, start, end):
            k = start + int(below[start:end].argmax())
            dips.append(NightDip(_to_instant(at_min[start]), _to_instant(at_min[end - 1]), below[k], mmol[k]))
    return tuple(dips)


def _is_pressure(at_min: Floats, below: Floats, start: int, end: int) -> bool:
    """Tell whether the readings start..end (all low) are a deep, short dip with steep sides."""
    deep = start + np.flatnonzero(below[start:end] >= DEEP_MMOL)
    if deep.size == 0 or at_min[end - 1] - at_min[start] > SHORT_MIN:
        return False
    down, up = at_min[deep[0]] - at_min[start - 1], at_min[end] - at_min[deep[-1]]
    return bool(down <= SUDDEN_MIN and up <= SUDDEN_MIN)


def _find_night(at_min: Floats, clock: Floats, sleep: pd.DataFrame | None) -> NDArray[np.bool_]:
    """Return which readings are at night: while asleep, or by the clock where no sleep is logged near."""
    night: NDArray[np.bool_] = (clock >= NIGHT_FROM_MIN) | (clock < NIGHT_TO_MIN)
    if sleep is None:
        return night
    check_columns(sleep, SLEEP)
    spans = [sleep[c].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6 for c in ("from_at", "to_at")]
    for start, stop in zip(*spans, strict=True):
        # a logged sleep settles half a day around it
        near = slice(*(int(i) for i in at_min.searchsorted([start - 360.0, stop + 360.0])))
        night[near] = False
    for start, stop in zip(*spans, strict=True):
        asleep = slice(int(at_min.searchsorted(start)), int(at_min.searchsorted(stop, side="right")))
        night[asleep] = True
    return night


def _to_instant(at_min: float) -> datetime:
    return _EPOCH + timedelta(minutes=float(at_min))
