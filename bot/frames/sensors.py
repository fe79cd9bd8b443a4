"""Which sensors were worn, when they were read out, and what they cover."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import pandas as pd

from analysis.columns import SENSORS, SYNCS, add_local
from analysis.errors import InsufficientData
from analysis.kept import once
from analysis.nights import NightDip, find_night_dips
from analysis.offsets import Offset, find_offset
from analysis.pressed import find_spans, mark_pressed
from analysis.wear import Gap, describe_wear, find_times_without, share_covered
from bot.frames.notes import frame_of, sleep_frame
from bot.frames.readings import INTERVAL_MIN, find_interval, readings_frame, readings_of
from bot.model.entries import Sensor
from bot.store import Person, Transaction
from bot.store.records import Source

DIP_REACH = timedelta(hours=12)
"""A dip is found by what is around it."""
EATEN_AFTER = timedelta(hours=2)
"""A dip may lie so long before a meal that follows the readings."""
ASLEEP_BEFORE = timedelta(hours=2)
"""A night may have begun so long before the readings that are looked at."""


def sensors_frame(
    tx: Transaction, person: Person, interval_min: float = INTERVAL_MIN, worn_from: datetime | None = None
) -> pd.DataFrame:
    """Return the SENSORS frame of all sensors that were logged as put on.

    worn_from: one is taken to be on from then, where none was logged before
    """
    about = (interval_min, person.memory_min / 60)
    rows: list[tuple[int, datetime, datetime | None, float, float]] = []
    assumed = worn_from is not None
    if worn_from is not None:
        rows.append((0, worn_from, None, *about))
    for logged in tx.log.between(person.id, ("sensor",), None, None):
        if isinstance(logged.entry, Sensor) and logged.entry.what == "started":
            if assumed and logged.at <= rows[0][1]:
                rows, assumed = [], False
            rows.append((logged.id, logged.at, None, *about))
        elif rows and rows[-1][2] is None and logged.at > rows[-1][1]:
            rows[-1] = (*rows[-1][:2], logged.at, *about)
    return frame_of(rows, SENSORS)


def syncs_frame(tx: Transaction, person: Person) -> pd.DataFrame:
    """Return the SYNCS frame."""
    return frame_of([(at,) for at in sync_times(tx, person)], SYNCS)


def sync_times(tx: Transaction, person: Person) -> list[datetime]:
    """Return when the sensor was read out: said so, and shown by the newest reading of each file."""
    said = [logged.at for logged in tx.log.between(person.id, ("sync",), None, None)]
    files = [i.result.last_at for i in tx.readings.imports(person.id) if i.source == "file"]
    return [at for at in [*said, *files] if at is not None]


def dips_in(
    tx: Transaction, person: Person, readings: pd.DataFrame, since: datetime, until: datetime
) -> tuple[NightDip, ...]:
    """Return the dips in some readings that lying on the sensor may explain: at night and around meals."""
    if readings.empty:
        return ()
    sleep = sleep_frame(tx, person, since - ASLEEP_BEFORE, until)
    bites = [meal.at for meal in tx.log.between(person.id, ("meal",), since, until + EATEN_AFTER)]
    return find_night_dips(add_local(readings, person.zone), sleep=sleep, bites=bites)


@once
def used_readings(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None, *of: Source
) -> tuple[pd.DataFrame, tuple[NightDip, ...]]:
    """Return the READINGS frame of [since, until) without what dips hold, and these dips.

    of: of these sources only; none = the sensor's, and single ones where the sensor has none
    """
    start = None if since is None else since - DIP_REACH
    end = None if until is None else until + DIP_REACH
    wide = readings_of(tx, person, start, end, *of) if of else readings_frame(tx, person, start, end)
    if wide.empty:
        return wide, ()
    first, last = wide["at"].iloc[0].to_pydatetime(), wide["at"].iloc[-1].to_pydatetime()
    dips = dips_in(tx, person, wide, first, last + timedelta.resolution)
    kept = ~mark_pressed(wide["at"].to_numpy(dtype="datetime64[us]").astype("int64"), find_spans(dips))
    inside = (since is None or wide["at"] >= since) & (until is None or wide["at"] < until)
    within = tuple(
        d for d in dips if (since is None or d.to_at >= since) and (until is None or d.from_at < until)
    )
    return wide[kept & inside].reset_index(drop=True), within


@dataclass(frozen=True, slots=True)
class Worn:
    """What readings cover from `since` on: the share (0 to 1), what is missing and why, and how many dips."""

    since: datetime
    share: float
    gaps: tuple[Gap, ...]
    dips: int


def wear_between(tx: Transaction, person: Person, since: datetime, until: datetime) -> Worn | None:
    """Return what the sensor's readings cover of [since, until); None when there are none.

    It begins with the first sensor or reading in that span. Without a logged sensor one is taken to be on
    from the first reading.
    """
    at = readings_of(tx, person, since, until, "file")["at"]
    if at.empty:
        return None
    interval = find_interval(at)
    sensors = sensors_frame(tx, person, interval, worn_from=at.iloc[0].to_pydatetime())
    since = max(since, sensors["started_at"].min().to_pydatetime())
    worn = sensors[sensors["ended_at"].isna() | (sensors["ended_at"] > since)]
    earliest = min(since, worn["started_at"].min().to_pydatetime())
    readings = readings_of(tx, person, earliest, until, "file")
    gaps = [g for w in describe_wear(readings, worn, syncs_frame(tx, person), until=until) for g in w.gaps]
    gaps += find_times_without(sensors, since, until)
    inside = [_clip(gap, since, until) for gap in gaps if gap.to_at > since]
    share = share_covered(readings["at"], since, until, interval)
    recent = readings[readings["at"] >= since]
    return Worn(since, share, tuple(inside), len(dips_in(tx, person, recent, since, until)))


def _clip(gap: Gap, since: datetime, until: datetime) -> Gap:
    start, end = max(gap.from_at, since), min(gap.to_at, until)
    return Gap(start, end, min(gap.minutes, (end - start) / timedelta(minutes=1)), gap.reason)


def offset_between(
    tx: Transaction, person: Person, since: datetime, until: datetime, other_source: Source
) -> Offset | None:
    """Return how far the sensor reads from another source; None with too few to compare."""
    other = readings_of(tx, person, since, until, other_source)
    if other.empty:
        return None
    try:
        return find_offset(readings_of(tx, person, since, until, "file"), other)
    except InsufficientData:
        return None
