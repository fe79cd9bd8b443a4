"""Dips that look like lying on the sensor: at night and around what was eaten; marked, never deleted.

Pressure on a sensor makes it read low for as long as one lies on it. Such a dip is sudden, deep, from a level
that was calm, and over at once (common knowledge, from memory; the lines below are ours):

    calm      the readings of the 65 min before (three at least) lie within 0.8 mmol/L; their median is the
              level
    deep      1.0 mmol/L or more below the level, and 0.8 or more (unless all of it is at night: 1.2) below
              the lower quarter of the day around it
    sudden    from less than half of that depth to all of `DEEP_MMOL` within 20 min (or two steps of the
              series), on both sides
    short     at most 3 h below half of it
    where     at least a part of it lies in sleep (without a logged sleep, between 22:00 and 8:00 by the local
              clock), or between 120 min before a bite and 15 min after it

A true low comes on slowly and does not end of itself within minutes; a fall after a meal comes from a peak,
which is no calm level, and ends at the usual level, not below it.

On simulated days (tests/bench/conclusions_dips.py; the clean ones with steep falls, undershoot after meals
and falls of exercise; a sensor of SD 0.15 and 0.25):

                                                     every 5 min       every 15 min
    found on clean days, a week                       0.1, 0.1          0.2, 0.3
      for each bite                                   .003, .003        .006, .007
    found of dips of 20 to 60 min                     .95 to .98        .71 to .75
      of 60 to 175 min                                .94 to 1.00       .95 to 1.00

On 198 real days with 1554 bites of people without diabetes [phillips2023], which nobody has marked, 22 are
found at night and 1 more around a bite.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import LOCAL_READINGS, SLEEP, check_columns
from analysis.results import Floats

CALM_MIN = 65.0
CALM_MMOL = 0.8
DEEP_MMOL = 1.0
HALF_MMOL = DEEP_MMOL / 2
UNUSUAL_MMOL, UNUSUAL_BY_DAY_MMOL = 0.8, 1.2
AROUND_MIN = 720.0
SUDDEN_MIN = 20.0
LONG_MIN = 180.0
SIDE_MMOL, SIDE_MIN = 0.3, 10.0
LEAST_N = 3
LOWEST_MMOL = 2.0
BEFORE_BITE_MIN, AFTER_BITE_MIN = 120.0, 15.0
NIGHT_FROM_MIN, NIGHT_TO_MIN = 1320.0, 480.0
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class NightDip:
    """A dip from the first to the last reading that it lowers; depth_mmol below the level before it.

    level_mmol: that level; None where it is not known
    """

    from_at: datetime
    to_at: datetime
    depth_mmol: float
    lowest_mmol: float
    level_mmol: float | None = None


def find_night_dips(
    readings: pd.DataFrame, *, sleep: pd.DataFrame | None = None, bites: Sequence[datetime] = ()
) -> tuple[NightDip, ...]:
    """Return the dips of a LOCAL_READINGS frame that look like pressure on the sensor, in order of time.

    readings: rows in any order; a dip needs readings on both of its sides, at most 20 min (or two steps of
    the series) away; a low limit without a number counts as `LOWEST_MMOL`
    sleep: a SLEEP frame; nights that it does not hold are judged by the clock
    bites: when something was eaten, in any order: dips are looked for around each, by day as well
    """
    check_columns(readings, LOCAL_READINGS)
    values = readings["mmol"].mask(readings["mmol"].isna() & (readings["flag"] == "low limit"), LOWEST_MMOL)
    frame = readings.assign(mmol=values)[values.notna()].sort_values("at")
    if frame.empty:
        return ()
    mmol = frame["mmol"].to_numpy(dtype=np.float64)
    at_min = frame["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6
    night = _find_night(at_min, frame["minute"].to_numpy(dtype=np.float64), sleep)
    where = night.copy()
    eaten = np.sort([(bite - _EPOCH) / timedelta(minutes=1) for bite in bites])
    _mark_bites(where, at_min, eaten)
    dips: list[NightDip] = []
    over = 0
    for start in _find_falls(at_min, mmol).tolist():
        if start < over:
            continue
        level = _find_level(at_min, mmol, start, dips)
        if level is None:
            continue
        end = _find_end(at_min, level - mmol, start)
        if end is None or not where[start:end].any():
            continue
        lowest = start + int(mmol[start:end].argmin())
        below = UNUSUAL_MMOL if night[start:end].all() else UNUSUAL_BY_DAY_MMOL
        if mmol[lowest] > _find_usual(at_min, mmol, start, end) - below:
            continue
        over = end
        first, last = _reach(at_min, level - mmol, start, end)
        span = _to_instant(at_min[first]), _to_instant(at_min[last])
        dips.append(NightDip(*span, level - float(mmol[lowest]), float(mmol[lowest]), level))
    return tuple(dips)


def _find_falls(at_min: Floats, mmol: Floats) -> NDArray[np.intp]:
    """Return the readings that may be the first of a dip: they fall, from readings that are calm enough."""
    if mmol.size <= LEAST_N:
        return np.array([], dtype=np.intp)
    last = np.lib.stride_tricks.sliding_window_view(mmol, LEAST_N)[:-1]
    highest, lowest = last.max(axis=1), last.min(axis=1)
    # the level is among readings that lie as close together as these
    falls = (highest - lowest <= CALM_MMOL) & (lowest + CALM_MMOL - mmol[LEAST_N:] >= HALF_MMOL)
    falls &= (mmol[LEAST_N:] < mmol[LEAST_N - 1 : -1]) & (np.diff(at_min)[LEAST_N - 1 :] <= SUDDEN_MIN)
    # a side has so many readings, where none is missing
    n = 2 + int(SUDDEN_MIN / max(1.0, float(np.median(np.diff(at_min)))))
    ahead = np.lib.stride_tricks.sliding_window_view(np.append(mmol, np.full(n, np.inf)), n + 1)
    falls &= mmol[LEAST_N - 1 : -1] - ahead[LEAST_N : mmol.size].min(axis=1) >= DEEP_MMOL - HALF_MMOL
    return np.flatnonzero(falls) + LEAST_N


def _find_level(at_min: Floats, mmol: Floats, start: int, dips: Sequence[NightDip]) -> float | None:
    """Return the level before a fall, None where it was not calm or is not known.

    What an earlier dip holds is no level.
    """
    since = at_min[start] - CALM_MIN
    if dips:
        last = (dips[-1].to_at - _EPOCH) / timedelta(minutes=1)
        since = max(since, last + 1e-6) if last > since else since
    first = int(at_min.searchsorted(since))
    if start - first < LEAST_N or at_min[start] - at_min[start - 1] > SUDDEN_MIN:
        return None
    before = sorted(mmol[first:start].tolist())
    if before[-1] - before[0] > CALM_MMOL:
        return None
    level: float = (before[len(before) // 2] + before[(len(before) - 1) // 2]) / 2
    if level - mmol[start] < HALF_MMOL or level - mmol[start - 1] >= HALF_MMOL:
        return None
    return level


def _find_end(at_min: Floats, below: Floats, start: int) -> int | None:
    """Return the first reading after a dip that begins at `start`, None where that is no dip of pressure."""
    stop = int(at_min.searchsorted(at_min[start] + LONG_MIN, side="right"))
    back = np.flatnonzero(below[start : stop + 1] < HALF_MMOL)
    if back.size == 0:
        return None
    end = start + int(back[0])
    if at_min[end - 1] - at_min[start] > LONG_MIN:
        return None
    deep = start + np.flatnonzero(below[start:end] >= DEEP_MMOL)
    if deep.size == 0:
        return None
    sides = at_min[deep[0]] - at_min[start - 1], at_min[end] - at_min[deep[-1]]
    step = float(np.median(np.diff(at_min[max(0, start - LEAST_N) : end + 1])))
    return end if max(sides) <= max(SUDDEN_MIN, 2 * step + 1) else None


def _reach(at_min: Floats, below: Floats, start: int, end: int) -> tuple[int, int]:
    """Return the first and the last reading of a dip, with one on either side that is on its way."""
    first = (
        start - 1 if below[start - 1] > SIDE_MMOL and at_min[start] - at_min[start - 1] <= SIDE_MIN else start
    )
    last = end if below[end] > SIDE_MMOL and at_min[end] - at_min[end - 1] <= SIDE_MIN else end - 1
    return first, last


def _find_usual(at_min: Floats, mmol: Floats, start: int, end: int) -> float:
    """Return the lower quarter of the readings in the day around a dip, without the dip."""
    first, after = (
        int(i) for i in at_min.searchsorted([at_min[start] - AROUND_MIN, at_min[end] + AROUND_MIN])
    )
    return float(np.percentile(np.concatenate([mmol[first:start], mmol[end:after]]), 25))


def _mark_bites(where: NDArray[np.bool_], at_min: Floats, eaten: Floats) -> None:
    firsts = at_min.searchsorted(eaten - BEFORE_BITE_MIN)
    afters = at_min.searchsorted(eaten + AFTER_BITE_MIN, side="right")
    for first, after in zip(firsts.tolist(), afters.tolist(), strict=True):
        where[first:after] = True


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
