"""When the next reminder is due: pure rules of instants, quiet hours and a zone.

The sensor's memory is true elapsed time: 8 hours are 8 hours, also over a change of the clocks. Quiet hours
are what the wall clock shows: where it jumps over a moment the next one that exists counts, and where it
shows a moment twice it means what it shows, both times. All instants are aware; those returned are in UTC.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from math import ceil
from zoneinfo import ZoneInfo

CHECK_AFTER = timedelta(hours=2)
BEFORE_QUIET = timedelta(minutes=10)
ASK_APART = timedelta(minutes=60)
"""Never asked sooner than this after a sync, or after an ask that is itself the second one."""
NUDGE_APART = timedelta(minutes=15)
"""Nor is the second ask, when the memory lapses, sooner than this after the first."""
LEFT_AT_BEDTIME = timedelta(minutes=10)
"""An ask waits for bedtime when the memory then still holds for so long."""


@dataclass(frozen=True, slots=True)
class Quiet:
    """The hours without reminders, by the wall clock; they may run over midnight. start == end: none."""

    start: time
    end: time


def in_quiet(at: datetime, quiet: Quiet, zone: ZoneInfo) -> bool:
    """Say whether an instant lies in the quiet hours; their start does, their end does not."""
    clock = _utc(at).astimezone(zone).time()
    if quiet.start <= quiet.end:
        return quiet.start <= clock < quiet.end
    return clock >= quiet.start or clock < quiet.end


def next_allowed(at: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return the earliest instant from `at` on that lies outside the quiet hours."""
    at = _utc(at)
    if not in_quiet(at, quiet, zone):
        return at
    return min(c for c in _edges(at, quiet.end, zone, 1) if c >= at and not in_quiet(c, quiet, zone))


def quiet_start_before(at: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return when the quiet hours began in which `at` lies; ValueError when it lies in none."""
    at = _utc(at)
    if not in_quiet(at, quiet, zone):
        raise ValueError(f"{at} is not in the quiet hours")
    before = timedelta.resolution
    return max(
        c
        for c in _edges(at, quiet.start, zone, -1)
        if c <= at and in_quiet(c, quiet, zone) and not in_quiet(c - before, quiet, zone)
    )


def lapse_at(last_sync_at: datetime, memory_min: float) -> datetime:
    """Return when the sensor starts to overwrite what came after the last sync."""
    return _utc(last_sync_at) + timedelta(minutes=memory_min)


def expected_loss_min(sync_at: datetime, until: datetime, memory_min: float) -> int:
    """Return how many minutes are lost, rounded up, when the sync after `sync_at` is at `until`."""
    return max(0, ceil((_utc(until) - lapse_at(sync_at, memory_min)) / timedelta(minutes=1)))


def sync_due(
    last_sync_at: datetime,
    last_asked_at: datetime | None,
    *,
    memory_min: float,
    lead_min: float,
    quiet: Quiet,
    zone: ZoneInfo,
    again_after: timedelta = timedelta(0),
) -> datetime:
    """Return when to ask for the next sync: `lead_min` before the memory lapses since the last sync.

    In quiet hours it comes earlier, at bedtime, which is ten minutes before they begin, if that is at least
    an hour after the last sync (or at that hour, if it still comes before them); else when they end, and what
    has lapsed by then is to be said. Where bedtime is less than an hour later and the memory holds until
    then it waits for bedtime, so that the night begins with an empty memory. With a memory or lead that
    leaves less than an hour it comes after an hour, at the latest when the memory lapses.

    Asked and not synced, it comes once more when the memory lapses, or `again_after` later (in quiet hours
    at bedtime, or when they end); after that an ask counts like a sync, so that it is asked about once in a
    memory.
    """
    synced, asked = _utc(last_sync_at), None if last_asked_at is None else _utc(last_asked_at)
    anchor = synced
    if asked is not None and asked > synced:
        lapse = lapse_at(synced, memory_min)
        if asked <= lapse - NUDGE_APART:
            return _before_or_after_quiet(lapse + again_after, asked + ASK_APART, quiet, zone)
        anchor = asked
    lapse = lapse_at(anchor, memory_min)
    due = max(lapse - timedelta(minutes=lead_min), min(anchor + ASK_APART, lapse))
    if not in_quiet(due, quiet, zone):
        return _wait_for_bedtime(due, lapse, quiet, zone)
    return _before_or_after_quiet(due, anchor + ASK_APART, quiet, zone)


def _before_or_after_quiet(due: datetime, soonest: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return `due`, or where that is quiet: bedtime, or from `soonest` on until the quiet; else its end."""
    if not in_quiet(due, quiet, zone):
        return due
    begins = quiet_start_before(due, quiet, zone)
    early = next_allowed(max(begins - BEFORE_QUIET, soonest), quiet, zone)
    return early if early < begins else next_allowed(due, quiet, zone)


def _wait_for_bedtime(due: datetime, lapse: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    ahead = due + ASK_APART
    if not in_quiet(ahead, quiet, zone):
        return due
    bedtime = quiet_start_before(ahead, quiet, zone) - BEFORE_QUIET
    waits = due < bedtime <= lapse - LEFT_AT_BEDTIME and not in_quiet(bedtime, quiet, zone)
    return bedtime if waits else due


def check_due(meal_at: datetime, *, memory_min: float, quiet: Quiet, zone: ZoneInfo) -> datetime | None:
    """Return when to check a meal: two hours after it; in quiet hours, when they end.

    None when by their end the sensor, unsynced since the meal, would no longer remember its first bite.
    """
    due = _utc(meal_at) + CHECK_AFTER
    if not in_quiet(due, quiet, zone):
        return due
    end = next_allowed(due, quiet, zone)
    return end if end < lapse_at(meal_at, memory_min) else None


def first_instant(day: date, clock: time, zone: ZoneInfo) -> datetime:
    """Return when the wall clock first shows `clock` on `day`, or the next moment that exists."""
    return min(_instants(day, clock, zone))


def _utc(at: datetime) -> datetime:
    if at.tzinfo is None:
        raise ValueError(f"{at} states no zone")
    return at.astimezone(UTC)


def _edges(at: datetime, clock: time, zone: ZoneInfo, way: int) -> Iterator[datetime]:
    """Yield where quiet hours can end (way 1) or begin (way -1): at `clock`, or where the clocks change."""
    today = at.astimezone(zone).date()
    for days in range(4):  # a clock time skipped by a change can leave a day without an edge
        yield from _instants(today + way * timedelta(days=days), clock, zone)
    other = at + way * timedelta(days=2)
    change = _change_between(min(at, other), max(at, other), zone)
    if change is not None:
        yield change


def _instants(day: date, clock: time, zone: ZoneInfo) -> list[datetime]:
    """Return every instant at which `clock` is shown on `day`, or the end of the gap it falls in."""
    local = datetime.combine(day, clock)
    found = {local.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)}
    real = [at for at in sorted(found) if at.astimezone(zone).replace(tzinfo=None) == local]
    if real:
        return real
    change = _change_between(min(found), max(found), zone)
    return [max(found) if change is None else change]


def _change_between(start: datetime, end: datetime, zone: ZoneInfo) -> datetime | None:
    """Return the minute within start to end from which another offset holds; None when it stays the same."""

    def offset(minute: int) -> timedelta | None:
        return datetime.fromtimestamp(minute * 60, zone).utcoffset()

    low, high = int(start.timestamp() // 60), ceil(end.timestamp() / 60)
    if offset(low) == offset(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if offset(middle) == offset(low):
            low = middle
        else:
            high = middle
    return datetime.fromtimestamp(high * 60, UTC)
