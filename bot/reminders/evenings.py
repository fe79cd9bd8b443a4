"""What is planned beside syncs and checks: looking back on week and day, a sensor's end, a serving to try."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from bot.model.entries import Sensor
from bot.reminders import days, rules
from bot.reminders.quiet_hours import quiet_of
from bot.reminders.stages import Standing, Worn, find_stage
from bot.store import Logged, Person, Transaction

REVIEW, EVENING, LAST_HOURS, SENSOR_OVER, EAT = "review", "evening", "last hours", "sensor over", "eat"
"""Kinds of reminders; of a serving to try, what is changed about the plate follows its kind."""
REVIEWS_APART, EVENINGS_APART = timedelta(days=3), timedelta(hours=12)
WITH_SYNC = timedelta(hours=1)
"""The evening's line comes with a sync that is due so near."""
AFTER_END = timedelta(hours=1)
MOST_TOLD = 50
"""So many times that a sensor was put on or came off are looked at."""
WEEK_BEGINS = "week starts on "
"""How the fact begins that says on which day somebody's week begins."""
DAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
Key = tuple[str, int | None]
Planned = Mapping[Key, datetime]


def week_begins(tx: Transaction, person: Person) -> int:
    """Return the day that a person's week begins on, as told last: 0 for Monday, also where none was told."""
    told = [fact.value for fact, _ in tx.facts.told(person.id, "other") if fact.value.startswith(WEEK_BEGINS)]
    name = told[-1].removeprefix(WEEK_BEGINS).lower() if told else DAY_NAMES[0]
    return DAY_NAMES.index(name) if name in DAY_NAMES else 0


def told_of_sensors(tx: Transaction, person: Person) -> list[Logged]:
    """Return what was said of sensors, the newest first: that one was put on, or came off."""
    return tx.log.last(person.id, ("sensor",), n=MOST_TOLD)


def stage_of(tx: Transaction, person: Person, last_sync_at: datetime | None, now: datetime) -> Standing:
    """Return where a person is with their sensors, by their log."""
    worn: list[Worn] = []
    for logged in reversed(told_of_sensors(tx, person)):
        if not isinstance(logged.entry, Sensor) or logged.at > now:
            continue
        if logged.entry.what == "started":
            worn.append(Worn(logged.at))
        else:  # one that nobody said was put on was on all the same
            worn = [*worn[:-1], Worn(worn[-1].started_at if worn else logged.at, logged.at)]
    newest = tx.readings.last_at(person.id, source="file")
    return find_stage(worn, last_sync_at, newest, now, person.sensor_days)


def plan_evenings(
    tx: Transaction, person: Person, now: datetime, planned: Planned, sync_at: datetime | None
) -> dict[Key, datetime]:
    """Return when to look back on the week and on the day, and what is kept of servings to try.

    sync_at: when the next sync is asked for, None where none is
    """
    wanted = {key: due_at for key, due_at in planned.items() if key[0].split(":")[0] == EAT}
    if person.reviews:
        wanted[REVIEW, None] = _review_at(tx, person, now, planned.get((REVIEW, None)))
    if person.evening:
        wanted[EVENING, None] = _evening_at(tx, person, now, planned.get((EVENING, None)), sync_at)
    return wanted


def _review_at(tx: Transaction, person: Person, now: datetime, before: datetime | None) -> datetime:
    """Return when the next review is due; one that was held back, or is late, is still to be said."""
    about = week_begins(tx, person), quiet_of(person), person.zone
    regular = days.review_due(now - timedelta(days=days.WEEK_DAYS), *about)
    if before is not None and regular <= now and before < regular + REVIEWS_APART:
        return before
    last = tx.reminders.last_sent(person.id, REVIEW)
    after = now if last is None or last.settled_at is None else max(now, last.settled_at + REVIEWS_APART)
    return days.review_due(after, *about)


def _evening_at(
    tx: Transaction, person: Person, now: datetime, before: datetime | None, sync_at: datetime | None
) -> datetime:
    """Return when to close the day; within the hour of a sync it comes along with it."""
    if before is not None and before <= now:
        return before
    last = tx.reminders.last_sent(person.id, EVENING)
    after = now if last is None or last.settled_at is None else max(now, last.settled_at + EVENINGS_APART)
    due_at = days.evening_due(after, quiet_of(person), person.zone)
    along = sync_at is not None and sync_at > after and abs(sync_at - due_at) <= WITH_SYNC
    return sync_at if along and sync_at is not None else due_at


def plan_sensor_end(
    tx: Transaction, person: Person, now: datetime, sensor: Logged | None, at: Standing, planned: Planned
) -> dict[Key, datetime]:
    """Return when to ask for the last readings of the sensor that is on, and when to say that it is over."""
    if sensor is None or not isinstance(sensor.entry, Sensor) or sensor.entry.what == "ended":
        return {}
    quiet, zone = quiet_of(person), person.zone
    wanted: dict[Key, datetime] = {}
    if at.on and at.ends_at is not None:
        wanted[LAST_HOURS, sensor.id] = days.last_hours_due(at.ends_at, quiet, zone)
        wanted[SENSOR_OVER, sensor.id] = rules.next_allowed(at.ends_at + AFTER_END, quiet, zone)
    elif at.stage in ("between", "over") and (SENSOR_OVER, sensor.id) in planned:
        wanted[SENSOR_OVER, sensor.id] = planned[SENSOR_OVER, sensor.id]
    return {
        key: due_at
        for key, due_at in wanted.items()
        if (due_at > now or key in planned) and not tx.reminders.sent_since(person.id, key[0], sensor.at)
    }
