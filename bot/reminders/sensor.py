"""The sensor in the talk: where and how long it is worn, what it covered, and what is missing and why."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.model.entries import Sensor, Sleep, Sync
from bot.model.naming import GAP_REASONS, join
from bot.reminders import rules
from bot.reminders.planning import kept_since, last_sensor, last_sync
from bot.reminders.words import say_bedtime, say_night, say_waking
from bot.reply import numbers
from bot.reply.words import place_of
from bot.store import Logged, Person, Transaction
from bot.store.records import Source

COVERED_DAYS = 14
ENOUGH = 0.70
"""Two weeks with 70 % of the possible readings are the published sufficiency [battelino2019]."""
JUST_NOW = timedelta(minutes=45)
ADVISED = 3
"""So many new sensors come with advice."""
ADVICE = (
    "What helps: put it on in the evening, on the arm you don't sleep on, and let the skin dry first. "
    "(Common practice.)"
)


def say_more(tx: Transaction, person: Person, logged: Sequence[Logged], now: datetime) -> list[str]:
    """Return what a note of a sensor, a sync or a night calls for: advice, and what saves readings."""
    said: list[str] = []
    for one in logged:
        if isinstance(one.entry, Sensor) and one.entry.what == "started":
            said += _say_started(tx, person, one, now)
        elif isinstance(one.entry, Sync) and now < rules.lapse_at(one.at, person.memory_min):
            said += say_night(one.at, person)
        elif isinstance(one.entry, Sleep):
            said += _say_sleep(tx, person, one.entry, now)
    return said


def _say_started(tx: Transaction, person: Person, logged: Logged, now: datetime) -> list[str]:
    ends_at = logged.at + timedelta(days=person.sensor_days)
    if ends_at <= now:
        return []
    lines = [f"It ends about {numbers.day(ends_at, person.zone)}; I'll tell you the day before."]
    started = [s for s in tx.log.last(person.id, ("sensor",), n=50) if _is_start(s)]
    return [*lines, ADVICE] if len(started) <= ADVISED else lines


def _is_start(logged: Logged) -> bool:
    return isinstance(logged.entry, Sensor) and logged.entry.what == "started"


def _say_sleep(tx: Transaction, person: Person, entry: Sleep, now: datetime) -> list[str]:
    last = kept_since(last_sensor(tx, person), last_sync(tx, person, now))
    if last is None or person.remind == "none":
        return []
    if entry.to_at is not None and abs(now - entry.to_at) < JUST_NOW and last < entry.to_at:
        return say_waking(last, person, now)
    if entry.to_at is None and entry.from_at is not None and abs(now - entry.from_at) < JUST_NOW:
        return say_bedtime(last, person, now)
    return []


def say_age(tx: Transaction, person: Person, now: datetime) -> str:
    """Say in one sentence which sensor is on, since when, and when it ends."""
    sensor = last_sensor(tx, person)
    if sensor is None or not isinstance(sensor.entry, Sensor):
        return "I don't know when your sensor was put on: say it like “sensor on, left arm, Monday 20:00”."
    when = numbers.day_and_clock(sensor.at, person.zone, now)
    if sensor.entry.what == "ended":
        return f"No sensor is on: the last one came off {when}. Say “new sensor on” when you wear the next."
    place = place_of(sensor.entry)
    on = f" on your {place}" if place else ""
    ends_at = sensor.at + timedelta(days=person.sensor_days)
    day = (now.astimezone(person.zone).date() - sensor.at.astimezone(person.zone).date()).days + 1
    if now >= ends_at:
        return f"Sensor{on} since {when}: that is longer than the {person.sensor_days} days one lasts."
    end = numbers.day(ends_at, person.zone)
    first = " In its first 24 hours readings can be off." if now - sensor.at < timedelta(days=1) else ""
    return f"Sensor{on} since {when}: day {day} of {person.sensor_days}, ends {end}.{first}"


def say_sensor(tx: Transaction, person: Person, now: datetime) -> str:
    """Say how the sensor is doing: its age, what readings cover, what is missing and why, its offset."""
    lines = [say_age(tx, person, now)]
    lines += _say_coverage(tx, person, now)
    lines += _say_offset(tx, person, now)
    last, sensor = last_sync(tx, person, now), last_sensor(tx, person)
    since = kept_since(sensor, last)
    off = sensor is not None and isinstance(sensor.entry, Sensor) and sensor.entry.what == "ended"
    if since is not None and not off and rules.lapse_at(since, person.memory_min) > now:
        by = numbers.day_and_clock(rules.lapse_at(since, person.memory_min), person.zone, since)
        seen = (
            f"Last sync {numbers.day_and_clock(since, person.zone, now)}"
            if since == last
            else "Not synced yet"
        )
        lines.append(f"{seen}: please sync by {by}.")
    return "\n".join(lines)


def _say_coverage(tx: Transaction, person: Person, now: datetime) -> list[str]:
    from bot.frames.sensors import wear_between

    found = wear_between(tx, person, now - timedelta(days=COVERED_DAYS), now)
    if found is None:
        return ["No readings in the last 14 days."]
    covered = round(100 * found.share)
    days = (now - found.since) / timedelta(days=1)
    span = (
        "the last 14 days"
        if days > COVERED_DAYS - 0.5
        else numbers.day_and_clock(found.since, person.zone, now)
    )
    span = span if span.startswith("the") else f"the time since {span}"
    lines = [f"Readings cover {covered} % of {span}."]
    missing: dict[str, float] = defaultdict(float)
    for gap in found.gaps:
        missing[gap.reason] += gap.minutes
    parts = [
        f"{numbers.minutes(minutes)} {GAP_REASONS[reason]}"
        for reason, minutes in sorted(missing.items(), key=lambda item: -item[1])
        if minutes >= 1
    ]
    if parts:
        lines.append(f"Missing: {join(parts)}.")
    if found.share < ENOUGH:
        lines.append(
            "Averages count as reliable from 70 % of two weeks on; a meal with a whole curve counts now."
        )
    elif days < COVERED_DAYS - 0.5:
        lines.append("You're on course: averages count as reliable at 70 % of two weeks.")
    else:
        lines.append("That is enough for averages, which count as reliable at 70 % of two weeks.")
    if found.dips:
        n = numbers.count(found.dips, "dip looks", "dips look")
        lines.append(f"{n} like lying on the sensor: left out of all figures.")
    return lines


def _say_offset(tx: Transaction, person: Person, now: datetime) -> list[str]:
    """Say how far the sensor reads from finger-pricks, and from a second sensor."""
    from bot.frames.sensors import offset_between

    lines = []
    others: tuple[Source, ...] = ("meter", "second")
    for other in others:
        offset = offset_between(tx, person, now - timedelta(days=COVERED_DAYS), now, other)
        if offset is None:
            continue
        mean = numbers.difference_with_unit(abs(offset.mmol), person.unit)
        way = "higher" if offset.mmol > 0 else "lower"
        low, high = (numbers.signed(v, person.unit) for v in (offset.low, offset.high))
        pairs = "your second sensor" if other == "second" else numbers.count(offset.pairs, "finger-prick")
        lines.append(f"Against {pairs} it reads {mean} {way} (likely {low} to {high}).")
    return lines
