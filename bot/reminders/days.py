"""What a person's day has to do with reminders: meals close together, the night, shifts, a sensor's end.

Pure rules of instants, wall clocks and a zone, as in `rules`.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from bot.reminders import rules
from bot.reminders.rules import Quiet, first_instant

TOGETHER = timedelta(minutes=60)
"""Meals that follow each other within this are checked together, two hours after the last."""
LONGEST_MEAL = timedelta(hours=2)
"""Meals over more than this are not checked together: the first one's curve would wait too long."""
SNOOZE = timedelta(minutes=30)
DAY_BEFORE = timedelta(days=1)
HALF_A_DAY = timedelta(hours=12)
NOON, EVENING = time(12), time(18)
REVIEW, LATE_EVENING = time(18, 30), time(21)
BEFORE_BED = timedelta(hours=1)
WEEK_DAYS = 7
A_NIGHT_MIN = 240
"""Quiet hours of at least this are a night: with their end a new day begins."""


def check_times(
    meals: Sequence[datetime], *, memory_min: float, quiet: Quiet, zone: ZoneInfo
) -> list[datetime | None]:
    """Return when each of some meals, given in order of time, is to be checked; None = not at all.

    Meals that follow each other within an hour, over at most two hours, share the check after the last;
    when by then the sensor would no longer remember the first bite, that meal has none.
    """
    due: list[datetime | None] = []
    for group in _group([at.astimezone(UTC) for at in meals]):
        shared = rules.check_due(group[-1], memory_min=memory_min, quiet=quiet, zone=zone)
        held = [shared is not None and shared < rules.lapse_at(at, memory_min) for at in group]
        due += [shared if is_held else None for is_held in held]
    return due


def _group(meals: Sequence[datetime]) -> list[list[datetime]]:
    groups: list[list[datetime]] = [[at] for at in meals[:1]]
    for before, at in pairwise(meals):
        if at - before <= TOGETHER and at - groups[-1][0] <= LONGEST_MEAL:
            groups[-1].append(at)
        else:
            groups.append([at])
    return groups


def night_loss(
    sync_at: datetime, *, memory_min: float, lead_min: float, quiet: Quiet, zone: ZoneInfo
) -> tuple[datetime, int]:
    """Return when the next sync after one at `sync_at` is asked for, and how many minutes lapse till then.

    They lapse only where quiet hours begin too soon for another ask and outlast the memory.
    """
    due = rules.sync_due(sync_at, None, memory_min=memory_min, lead_min=lead_min, quiet=quiet, zone=zone)
    return due, rules.expected_loss_min(sync_at, due, memory_min)


def day_end(at: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return when the day of `at` is over: at the end of the next night, without one at midnight."""
    local = at.astimezone(zone).date()
    clock = quiet.end if is_night(quiet) else time(0)
    return next(end for n in range(4) if (end := first_instant(local + timedelta(days=n), clock, zone)) > at)


def waking_start(at: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return when the waking day of `at` began: in the middle of the night before it."""
    local, clock = at.astimezone(zone).date(), _middle(quiet)
    return max(b for n in (-1, 0, 1) if (b := first_instant(local + timedelta(days=n), clock, zone)) <= at)


def waking_end(start: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return when the waking day that began at `start` is over: in the middle of the next night.

    Where the nights moved since it began, as between shifts, at least half a day after its beginning.
    """
    local, clock = start.astimezone(zone).date(), _middle(quiet)
    ends = (first_instant(local + timedelta(days=n), clock, zone) for n in range(4))
    return next(end for end in ends if end - start >= HALF_A_DAY)


def _middle(quiet: Quiet) -> time:
    """Return the middle of the quiet hours that are a night, else midnight."""
    long_min = (_minute(quiet.end) - _minute(quiet.start)) % (24 * 60)
    middle = (_minute(quiet.start) + long_min // 2) % (24 * 60)
    return time(*divmod(middle, 60)) if long_min >= A_NIGHT_MIN else time(0)


def day_start(at: datetime, zone: ZoneInfo) -> datetime:
    """Return when the local day of `at` began."""
    return first_instant(at.astimezone(zone).date(), time(0), zone)


def sensor_end_due(started_at: datetime, days: int, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return when to say that a sensor ends tomorrow: a day before, in quiet hours at bedtime before that."""
    due = started_at.astimezone(UTC) + timedelta(days=days) - DAY_BEFORE
    if not rules.in_quiet(due, quiet, zone):
        return rules.next_allowed(due, quiet, zone)
    bedtime = rules.quiet_start_before(due, quiet, zone) - rules.BEFORE_QUIET
    return bedtime if not rules.in_quiet(bedtime, quiet, zone) else rules.next_allowed(due, quiet, zone)


def nudge_due(after: datetime, last_noted_at: datetime | None, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return the first evening after `after` at which nothing has been noted since noon, as things stand.

    An evening within quiet hours is left out, and in a week of such evenings the last one moves to their end.
    """
    day = after.astimezone(zone).date()
    for n in range(8):
        on = day + timedelta(days=n)
        due, noon = first_instant(on, EVENING, zone), first_instant(on, NOON, zone)
        is_free = last_noted_at is None or last_noted_at < noon
        if due > after and is_free and not rules.in_quiet(due, quiet, zone):
            return due
    return rules.next_allowed(due, quiet, zone)


def review_due(after: datetime, week_begins: int, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return when to look back on a week: the first evening after `after` before one begins.

    week_begins: its first day, 0 for Monday. In quiet hours it comes when they end, where that is on the same
    day, or an hour before they begin.
    """
    today = after.astimezone(zone).date()
    eve = today + timedelta(days=(week_begins - 1 - today.weekday()) % WEEK_DAYS)
    due = _evening_of(eve, quiet, zone)
    return due if due > after else _evening_of(eve + timedelta(days=WEEK_DAYS), quiet, zone)


def _evening_of(day: date, quiet: Quiet, zone: ZoneInfo) -> datetime:
    due = first_instant(day, REVIEW, zone)
    ends_at = rules.next_allowed(due, quiet, zone)
    if ends_at == due or ends_at.astimezone(zone).date() == day:
        return ends_at
    early = rules.quiet_start_before(due, quiet, zone) - BEFORE_BED
    is_free = early.astimezone(zone).date() == day and not rules.in_quiet(early, quiet, zone)
    return early if is_free else ends_at


def week_before(at: datetime, week_begins: int, zone: ZoneInfo) -> tuple[date, date]:
    """Return the first and the last day of the week that a review said at `at` looks back on.

    It is the week whose last day is the latest by then: one that is said late is still of its own week.
    """
    today = at.astimezone(zone).date()
    last = today - timedelta(days=(today.weekday() - week_begins + 1) % WEEK_DAYS)
    return last - timedelta(days=WEEK_DAYS - 1), last


def evening_due(after: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return the next time after `after` to close a day: an hour before its night, without one at 21:00.

    Who sleeps by day closes it in the morning.
    """
    day = after.astimezone(zone).date()
    for n in range(-1, 4):
        on = day + timedelta(days=n)
        if is_night(quiet):
            due = first_instant(on, quiet.start, zone) - BEFORE_BED
        else:
            due = rules.next_allowed(first_instant(on, LATE_EVENING, zone), quiet, zone)
        if due > after and not rules.in_quiet(due, quiet, zone):
            return due
    return rules.next_allowed(after + DAY_BEFORE, quiet, zone)


def is_night(quiet: Quiet) -> bool:
    """Tell whether quiet hours are long enough for a night."""
    return (_minute(quiet.end) - _minute(quiet.start)) % (24 * 60) >= A_NIGHT_MIN


def last_hours_due(ends_at: datetime, quiet: Quiet, zone: ZoneInfo) -> datetime:
    """Return when to ask for the last readings of a sensor: an hour before it ends, or before that night."""
    due = ends_at.astimezone(UTC) - BEFORE_BED
    if not rules.in_quiet(due, quiet, zone):
        return due
    return rules.quiet_start_before(due, quiet, zone) - rules.BEFORE_QUIET


def switch_at(first_day: date, zone: ZoneInfo) -> datetime:
    """Return when a shift pattern that holds from a day on begins: at noon before, as a night leads to it."""
    return first_instant(first_day - timedelta(days=1), NOON, zone)


def _minute(clock: time) -> int:
    return clock.hour * 60 + clock.minute
