"""Reminders in words: what to do, until when, and what lapses otherwise. Every loss is computed."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from analysis.units import write_glucose
from bot.model.entries import Meal
from bot.model.naming import join, title
from bot.reminders import days, rules
from bot.reminders.quiet_hours import quiet_of, wake_after
from bot.reply import numbers
from bot.store import Logged, Person

AT_ONCE = timedelta(minutes=5)
WORTH_SAYING_MIN = 5
"""A loss of less is one reading of the sensor's, if any, and not worth a sentence."""


def say_sync(last: datetime, person: Person, now: datetime, *, put_on: bool = False) -> str:
    """Ask for a sync: by when; before a night, what it saves; too late, what has lapsed.

    last: when it was last read out, or when it was `put_on` if it never was since
    """
    zone, hours = person.zone, numbers.minutes(person.memory_min)
    was = "was put on" if put_on else "was last read"
    lapse_at = rules.lapse_at(last, person.memory_min)
    seen = numbers.day_and_clock(last, zone, now)
    if now >= lapse_at + AT_ONCE:
        lapsed = numbers.span(last, now - timedelta(minutes=person.memory_min), zone, now)
        ask = f"Sync your sensor: it keeps {hours}, so readings from {lapsed} have lapsed."
        return " ".join([ask, *say_night(now, person)])
    if now >= lapse_at:
        ask = f"Sync your sensor now: from this minute on it forgets what came after {seen}."
        return " ".join([ask, *say_night(now, person)])
    until = rules.next_allowed(lapse_at, quiet_of(person), zone)
    if until == lapse_at:
        by = numbers.clock(lapse_at, zone)
        ask = f"Sync your sensor by {by}: it keeps {hours} and {was} {seen}."
        return " ".join([ask, *say_night(now, person)])
    without = numbers.minutes((until - lapse_at) / timedelta(minutes=1))
    woken, loss_min = _night_after(now, person)
    asleep = f"If you sleep until {numbers.clock(woken, zone)}, "
    if loss_min < WORTH_SAYING_MIN:
        asleep += f"nothing is missing then; without a sync, {without}."
    else:
        asleep += f"about {numbers.minutes(loss_min)} will be missing; without a sync, {without}."
    return f"Sync your sensor before you sleep: it keeps {hours} and {was} {seen}. {asleep}"


def say_night(synced_at: datetime, person: Person) -> list[str]:
    """Say what a night that begins too soon for another ask will cost after a sync, if anything."""
    woken, loss_min = _night_after(synced_at, person)
    if loss_min < WORTH_SAYING_MIN:
        return []
    until, lost = numbers.clock(woken, person.zone), numbers.minutes(loss_min)
    return [f"If you sleep until {until}, about {lost} will be missing: sync again just before you sleep."]


def say_loss_ahead(
    last: datetime, asked_at: datetime | None, next_ask_at: datetime, person: Person, now: datetime
) -> list[str]:
    """Say, after other hours or another clock, what lapses before the next ask and was not asked about."""
    spoken_at = last if asked_at is None else max(last, asked_at)
    unsaid_min = rules.expected_loss_min(spoken_at, next_ask_at, person.memory_min)
    if next_ask_at <= now or unsaid_min < WORTH_SAYING_MIN:
        return []
    kept_from = max(last, now - timedelta(minutes=person.memory_min))
    lost = numbers.minutes(rules.expected_loss_min(kept_from, next_ask_at, person.memory_min))
    until = numbers.clock(next_ask_at, person.zone)
    return [f"Sync now: I am quiet until {until}, and {lost} more would be missing by then."]


def say_bedtime(last: datetime, person: Person, now: datetime) -> list[str]:
    """Say at bedtime what a sync now would save until the quiet hours end, if anything."""
    woken = wake_after(now, person)
    without = rules.expected_loss_min(last, woken, person.memory_min)
    with_sync = rules.expected_loss_min(now, woken, person.memory_min)
    if without < WORTH_SAYING_MIN:
        return []
    until = numbers.clock(woken, person.zone)
    if without - with_sync < WORTH_SAYING_MIN:
        return [f"If you sleep until {until}, about {numbers.minutes(without)} will be missing."]
    missing = "nothing" if with_sync < WORTH_SAYING_MIN else f"about {numbers.minutes(with_sync)}"
    return [
        f"Sync now: if you sleep until {until}, {missing} will be missing; "
        f"without a sync, {numbers.minutes(without)}."
    ]


def say_waking(last: datetime, person: Person, now: datetime) -> list[str]:
    """Say on waking that the night is to be read out at once, when the memory is near its end or over it."""
    lapse_at = rules.lapse_at(last, person.memory_min)
    if now >= lapse_at:
        return ["Sync now: the sensor forgets the first of your night minute by minute."]
    if lapse_at - now <= timedelta(minutes=person.sync_lead_min):
        by = numbers.clock(lapse_at, person.zone)
        return [f"Sync by {by}, while the sensor still has the whole night."]
    return []


def _night_after(sync_at: datetime, person: Person) -> tuple[datetime, int]:
    return days.night_loss(
        sync_at,
        memory_min=person.memory_min,
        lead_min=person.sync_lead_min,
        quiet=quiet_of(person),
        zone=person.zone,
    )


def say_checks(meals: Sequence[Logged], person: Person, now: datetime, *, with_sync: bool) -> str:
    """Ask for the readings of some meals; `with_sync`: the same message asks to sync already."""
    named = [
        f"{numbers.minutes((now - m.at) / timedelta(minutes=1))} since {m.entry.slot} ({title(m.entry)})"
        for m in meals
        if isinstance(m.entry, Meal)
    ]
    curves = "its curve" if len(named) == 1 else "their curves"
    said = join(named)
    if with_sync:
        return f"{said}: send the readings for {curves}."
    example = write_glucose(6.1, person.unit)
    return f"{said}. Sync and send the readings for {curves}, or type the value you see, like {example}."


def say_sensor_end(ends_at: datetime, person: Person, now: datetime) -> str:
    """Say that the sensor ends, and what to do before."""
    left = (ends_at.astimezone(person.zone).date() - now.astimezone(person.zone).date()).days
    when = {0: "today at ", 1: "tomorrow at "}.get(left, f"{numbers.day(ends_at, person.zone)} ")
    clock = numbers.clock(ends_at, person.zone)
    return f"Your sensor ends {when}{clock}: have the next one ready, and read this one out before."


NOTHING_SINCE_NOON = "Nothing noted since noon. If you ate, tell me what and when; if not, all is well."


def say_why(kind: str, person: Person) -> str:
    """Say why a reminder of this kind came and how to change that."""
    return {
        "sync": f"Why: the sensor keeps only {numbers.minutes(person.memory_min)}. "
        "/lead and /quiet change when I ask.",
        "check": "Why: two hours make a meal's curve. /remind less ends these.",
        "sensor end": f"Why: a sensor is worn {person.sensor_days} days here. /sensor 10 would change that.",
        "nudge": "Why: you asked for it. /nudge off ends it.",
        "trial": "Why: you agreed to this test. “Stop the test” ends it.",
    }[kind]


_HOW = {
    "sync": "/lead, /quiet",
    "check": "/remind less",
    "sensor end": "/sensor 10",
    "nudge": "/nudge off",
    "trial": "“stop the test”",
}


def say_how(kinds: Sequence[str]) -> list[str]:
    """Say in few words how to change reminders of these kinds, whose why is known by now."""
    return [f"(To change this: {', '.join(_HOW[kind] for kind in kinds)}.)"] if kinds else []
