"""Rises that no logged meal explains: for one friendly question, not for a verdict.

A rise is a climb of more than `RISE_MMOL` (1.5), from a low to the next high, of which that much comes
within an hour; smaller ups and downs on the way are merged (`analysis.swings`). A meal explains it when its
first bite lies between an hour before the climb begins and its top (a sensor runs up to a quarter of an hour
late, and people log late). Steep recoveries from a night dip are none. What else may lift glucose (stress, a
cold, hard exercise, the hours before waking) is not known here, so the question asks and does not tell.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pandas as pd

from analysis.columns import MEALS, READINGS, check_columns
from analysis.nights import NightDip
from analysis.results import Floats
from analysis.swings import find_turns

RISE_MMOL = 1.5
WITHIN_MIN = 60.0
MEAL_BEFORE_MIN = 60.0
HOLE_MIN = 45.0
NEAR_LOW_MMOL = 0.3
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class UnexplainedRise:
    """A climb from `from_mmol` at `at` by `rise_mmol` to its top at `top_at`."""

    at: datetime
    top_at: datetime
    from_mmol: float
    rise_mmol: float


def find_unexplained_rises(
    readings: pd.DataFrame, meals: pd.DataFrame, *, dips: Sequence[NightDip] = ()
) -> tuple[UnexplainedRise, ...]:
    """Return the rises of a READINGS frame that no meal of a MEALS frame explains, in the order of time.

    dips: night dips, whose recoveries do not count. A hole of more than 45 min ends a climb.
    """
    check_columns(readings, READINGS)
    check_columns(meals, MEALS)
    frame = readings[readings["mmol"].notna()].sort_values("at")
    at_min = frame["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6
    mmol = frame["mmol"].to_numpy(dtype=np.float64)
    bites = np.sort(meals["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6)
    dipped = [tuple((at - _EPOCH) / timedelta(minutes=1) for at in (d.from_at, d.to_at)) for d in dips]
    rises = []
    holes = np.flatnonzero(np.diff(at_min) > HOLE_MIN) + 1
    for t, v in zip(np.split(at_min, holes), np.split(mmol, holes), strict=True):
        turns = find_turns(v, RISE_MMOL)
        for low, top in pairwise(turns):
            if v[top] < v[low]:
                continue
            start = _find_start(t[low : top + 1], v[low : top + 1])
            if start is None:
                continue
            k, from_mmol = low + start[0], start[1]
            first = int(bites.searchsorted(t[k] - MEAL_BEFORE_MIN))
            if first < int(bites.searchsorted(t[top], side="right")):
                continue
            if any(since <= t[k] <= until for since, until in dipped):
                continue
            rises.append(
                UnexplainedRise(
                    at=_EPOCH + timedelta(minutes=float(t[k])),
                    top_at=_EPOCH + timedelta(minutes=float(t[top])),
                    from_mmol=from_mmol,
                    rise_mmol=float(v[top]) - from_mmol,
                )
            )
    return tuple(rises)


def _find_start(t: Floats, v: Floats) -> tuple[int, float] | None:
    """Return where a climb begins and the low that it begins from, None when it is never steep.

    Noise on a level line has its lowest reading anywhere, so the begin is the last reading near the low.
    """
    until = t.searchsorted(t + WITHIN_MIN, side="right")
    steep = next((k for k in range(t.size) if v[k : until[k]].max() - v[k] >= RISE_MMOL), None)
    if steep is None:
        return None
    reached = steep + int(np.flatnonzero(v[steep : until[steep]] - v[steep] >= RISE_MMOL)[0])
    low = float(v[steep : reached + 1].min())
    near = np.flatnonzero(v[steep : reached + 1] <= low + NEAR_LOW_MMOL)
    return steep + int(near[-1]), low
