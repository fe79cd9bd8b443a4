"""How well a sensor was read: covered time, what is missing and why, and what the next gap will be.

A sensor keeps its last `memory_h` hours of readings. Whatever is older than that at a sync is lost, so a gap
that ends one memory before a sync has lapsed. The other reasons: no sensor on; the first two hours of one,
while it warms up; and time since the last reading that may still be in the memory ("not read yet"). What
fits none of these is "not known" (out of reach, pressed, taken off for a while). A gap of several causes is
told in parts. Reasons need logged syncs and sensors; the moment of an import counts as a sync.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import READINGS, SENSORS, SYNCS, check_columns

WARM_UP_MIN = 120.0
FIRST_DAY_H = 24.0
GAP_INTERVALS = 2.5
"""Readings further apart than this many intervals have a gap between them."""
SYNC_SLACK_MIN = 15.0
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_US_MIN = 60_000_000
Instants = NDArray[np.int64]

LAPSED, NO_SENSOR, WARM_UP, NOT_READ, UNKNOWN = (
    "lapsed memory",
    "no sensor",
    "warm-up",
    "not read yet",
    "not known",
)


@dataclass(frozen=True, slots=True)
class Gap:
    """Time without readings; minutes is what is missing (a gap of one lost reading misses one interval)."""

    from_at: datetime
    to_at: datetime
    minutes: float
    reason: str


@dataclass(frozen=True, slots=True)
class Wear:
    """One sensor. days: worn so far; coverage: share (0 to 1) of its time that readings cover

    first_day_until: readings before it deserve care; first_day_n: how many of them there are
    """

    entry_id: int
    started_at: datetime
    ended_at: datetime | None
    days: float
    n: int
    coverage: float
    gaps: tuple[Gap, ...]
    first_day_until: datetime
    first_day_n: int


def share_covered(
    at: "pd.Series[pd.Timestamp]", since: datetime, until: datetime, interval_min: float
) -> float:
    """Return the share (0 to 1) of [since, until) that readings at these instants cover.

    Each reading covers the interval that it begins; doubles and readings closer than that count once.

    >>> at = pd.Series(pd.date_range("2026-03-02", periods=144, freq="5min", tz="UTC"))
    >>> since = datetime(2026, 3, 2, tzinfo=UTC)
    >>> share_covered(at, since, since + timedelta(days=1), 5)
    0.5
    """
    minutes = (until - since) / timedelta(minutes=1)
    if minutes <= 0:
        return 0.0
    return min(1.0, _covered_min(_to_us(at), _us(since), _us(until), interval_min) / minutes)


def describe_wear(
    readings: pd.DataFrame, sensors: pd.DataFrame, syncs: pd.DataFrame, *, until: datetime
) -> tuple[Wear, ...]:
    """Return each sensor's wear up to `until`, in the order of their starts.

    readings, sensors, syncs: frames as `analysis.columns` says, rows in any order. A sensor that was never
    ended is worn until the next one starts, or until `until`.
    """
    for frame, columns in ((readings, READINGS), (sensors, SENSORS), (syncs, SYNCS)):
        check_columns(frame, columns)
    told = readings["mmol"].notna() | (readings["flag"] != "")  # out of its range, a sensor was still read
    read_at = np.sort(_to_us(readings.loc[told, "at"]))
    synced = np.sort(_to_us(syncs["at"]))
    ordered = sensors.sort_values("started_at")
    starts = _to_us(ordered["started_at"])
    ends = _find_ends(ordered, starts, _us(until))
    rows = zip(
        *(ordered[c].tolist() for c in ("entry_id", "interval_min", "memory_h")),
        starts.tolist(),
        ends.tolist(),
        ordered["ended_at"].isna().tolist(),
        strict=True,
    )
    found = []
    for entry_id, interval, memory, start, end, is_open in rows:
        if start >= _us(until):
            continue
        own = read_at[read_at.searchsorted(start) : read_at.searchsorted(end, side="right")]
        first_day = start + int(FIRST_DAY_H * 60 * _US_MIN)
        found.append(
            Wear(
                entry_id=entry_id,
                started_at=_instant(start),
                ended_at=None if is_open and end == _us(until) else _instant(end),
                days=(end - start) / _US_MIN / 1440,
                n=own.size,
                coverage=min(1.0, _covered_min(own, start, end, interval) * _US_MIN / max(1, end - start)),
                gaps=_find_gaps(own, start, end, interval, memory, synced),
                first_day_until=_instant(first_day),
                first_day_n=int(own.searchsorted(first_day)),
            )
        )
    return tuple(found)


def find_times_without(sensors: pd.DataFrame, since: datetime, until: datetime) -> tuple[Gap, ...]:
    """Return the stretches of [since, until) in which no sensor was worn."""
    check_columns(sensors, SENSORS)
    ordered = sensors.sort_values("started_at")
    starts = _to_us(ordered["started_at"])
    gaps, worn_until = [], _us(since)
    for start, end in zip(starts.tolist(), _find_ends(ordered, starts, _us(until)).tolist(), strict=True):
        if start > worn_until:
            gaps.append(_gap(worn_until, min(start, _us(until)), NO_SENSOR))
        worn_until = max(worn_until, end)
    if worn_until < _us(until):
        gaps.append(_gap(worn_until, _us(until), NO_SENSOR))
    return tuple(g for g in gaps if g.minutes > 0)


def _find_ends(ordered: pd.DataFrame, starts: Instants, until: int) -> Instants:
    """Return when each sensor came off: as logged, else when the next one started, else `until`."""
    following = np.append(starts[1:], until) if starts.size else starts
    is_open = ordered["ended_at"].isna().to_numpy()
    # NaT has a number of its own in int64, which is never used
    logged = _to_us(ordered["ended_at"])
    return np.minimum(np.where(is_open, following, logged), until)


def _find_gaps(
    own: Instants, start: int, end: int, interval: float, memory_h: float, synced: Instants
) -> tuple[Gap, ...]:
    """Return the gaps between a sensor's readings, before the first and after the last, by reason."""
    edges = np.concatenate([[start], own, [end]])
    wide = np.flatnonzero(np.diff(edges) > GAP_INTERVALS * interval * _US_MIN)
    memory = int(memory_h * 60 * _US_MIN)
    gaps: list[Gap] = []
    for k in wide.tolist():
        low, high = int(edges[k]), int(edges[k + 1])
        # a reading covers the interval that it begins
        low += int(interval * _US_MIN) if k > 0 else 0
        if k == 0 and low < (warm := min(high, start + int(WARM_UP_MIN * _US_MIN))):
            gaps.append(_gap(low, warm, WARM_UP))
            low = warm
        # what came last was not read out by the end; what is synced after that is another sensor
        gaps += _explain(low, high, memory, synced, end if k == edges.size - 2 else None)
    return tuple(g for g in gaps if g.minutes > 0)


def _explain(low: int, high: int, memory: int, synced: Instants, now: int | None) -> list[Gap]:
    """Return the parts of a gap: what a late sync lost, what may still be read, and the rest.

    now: the present or the sensor's end, when the gap reaches up to it; None otherwise
    """
    slack = int(SYNC_SLACK_MIN * _US_MIN)
    k = int(synced.searchsorted(high - slack))
    # the sync that brought what follows the gap; with none after, the memory of the present counts
    if now is not None:
        kept_from = now - memory
    elif k < synced.size:
        kept_from = int(synced[k]) - memory
    else:
        kept_from = low
    lost_until = min(max(low, kept_from), high)
    if now is None and high - lost_until <= slack:
        lost_until = high if lost_until > low else low
    rest = NOT_READ if now is not None else UNKNOWN
    return [_gap(low, lost_until, LAPSED), _gap(lost_until, high, rest)]


def _gap(low: int, high: int, reason: str) -> Gap:
    return Gap(_instant(low), _instant(high), max(0.0, (high - low) / _US_MIN), reason)


def _covered_min(at: Instants, low: int, high: int, interval_min: float) -> float:
    inside = np.unique(at[(at >= low) & (at < high)])
    if inside.size == 0:
        return 0.0
    reach = np.minimum(np.diff(np.append(inside, high)), int(interval_min * _US_MIN))
    return float(reach.sum()) / _US_MIN


def _to_us(column: "pd.Series[pd.Timestamp]") -> Instants:
    return column.to_numpy(dtype="datetime64[us]").astype(np.int64)


def _us(at: datetime) -> int:
    return (at - _EPOCH) // timedelta(microseconds=1)


def _instant(us: int) -> datetime:
    return _EPOCH + timedelta(microseconds=int(us))
