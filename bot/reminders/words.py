"""Reminders in words: what to do, until when, and what is lost otherwise. Every loss is computed."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.language.texts import later, say, say_count
from bot.model.entries import Meal
from bot.model.naming import join, title
from bot.reminders import days, rules
from bot.reminders.quiet_hours import quiet_of, wake_after
from bot.reply import numbers
from bot.reply.words import at, capital
from bot.store import Logged, Person

AT_ONCE = timedelta(minutes=5)
WORTH_SAYING_MIN = 5
"""A loss of less is one reading of the sensor's, if any, and not worth a sentence."""


def say_sync(last: datetime, person: Person, now: datetime, *, put_on: bool = False) -> str:
    """Ask for a sync: by when; before a night, what it saves; too late, what is lost.

    last: when it was last synced, or when it was `put_on` if it never was since
    """
    zone, hours = person.zone, numbers.minutes(person.memory_min)
    lapse_at = rules.lapse_at(last, person.memory_min)
    if now >= lapse_at + AT_ONCE:
        lost = capital(numbers.span(last, now - timedelta(minutes=person.memory_min), zone, now))
        ask = say(
            "{times} is lost: the sensor keeps {hours}. Sync now to save the rest.", times=lost, hours=hours
        )
        return " ".join([ask, *say_night(now, person)])
    seen = at(last, zone, now)
    if now >= lapse_at:
        oldest = numbers.day_and_clock(last, zone, now)
        ask = say("Please sync now: readings are disappearing, oldest ({time}) first.", time=oldest)
        return " ".join([ask, *say_night(now, person)])
    since = say("it was put on {when}", when=seen) if put_on else say("your last sync was {when}", when=seen)
    until = rules.next_allowed(lapse_at, quiet_of(person), zone)
    if until == lapse_at:
        by = numbers.clock(lapse_at, zone)
        if person.talk == "short":
            return " ".join(
                [say("Please sync by {clock}; {since}.", clock=by, since=since), *say_night(now, person)]
            )
        ask = say(
            "Please sync by {clock}: the sensor keeps {hours}, and {since}.",
            clock=by,
            hours=hours,
            since=since,
        )
        return " ".join([ask, *say_night(now, person)])
    ask = say(
        "Please sync before you sleep: the sensor keeps {hours}, and {since}.", hours=hours, since=since
    )
    without = numbers.minutes((until - lapse_at) / timedelta(minutes=1))
    woken, loss_min = _night_after(now, person)
    return f"{ask} {_say_saved(numbers.clock(woken, zone), loss_min, without)}"


def _say_saved(until: str, loss_min: float, without: str) -> str:
    """Say what a sync now saves until a clock time, against what is lost without one."""
    if loss_min < WORTH_SAYING_MIN:
        return say("Then you lose nothing by {until}; otherwise you lose {lost}.", until=until, lost=without)
    return say(
        "Then you lose about {least} by {until}; otherwise you lose {lost}.",
        least=numbers.minutes(loss_min),
        until=until,
        lost=without,
    )


def say_night(synced_at: datetime, person: Person) -> list[str]:
    """Say what a night that begins too soon for another ask will cost after a sync, if anything."""
    woken, loss_min = _night_after(synced_at, person)
    if loss_min < WORTH_SAYING_MIN:
        return []
    until, lost = numbers.clock(woken, person.zone), numbers.minutes(loss_min)
    return [
        say("Sync again just before you sleep, or you lose about {lost} by {until}.", lost=lost, until=until)
    ]


def say_loss_ahead(
    last: datetime, asked_at: datetime | None, next_ask_at: datetime, person: Person, now: datetime
) -> list[str]:
    """Say, after other hours or another clock, what is lost before the next ask and was not asked about."""
    spoken_at = last if asked_at is None else max(last, asked_at)
    unsaid_min = rules.expected_loss_min(spoken_at, next_ask_at, person.memory_min)
    if next_ask_at <= now or unsaid_min < WORTH_SAYING_MIN:
        return []
    kept_from = max(last, now - timedelta(minutes=person.memory_min))
    lost = numbers.minutes(rules.expected_loss_min(kept_from, next_ask_at, person.memory_min))
    until = numbers.clock(next_ask_at, person.zone)
    return [say("Sync now: I'll be quiet, and by {until} you lose {lost} more.", until=until, lost=lost)]


def say_bedtime(last: datetime, person: Person, now: datetime) -> list[str]:
    """Say at bedtime what a sync now would save until the quiet hours end, if anything."""
    woken = wake_after(now, person)
    without = rules.expected_loss_min(last, woken, person.memory_min)
    with_sync = rules.expected_loss_min(now, woken, person.memory_min)
    if without < WORTH_SAYING_MIN:
        return []
    until, lost = numbers.clock(woken, person.zone), numbers.minutes(without)
    if without - with_sync < WORTH_SAYING_MIN:
        return [say("By {until} you lose about {lost}.", until=until, lost=lost)]
    if with_sync < WORTH_SAYING_MIN:
        return [
            say("Sync now to lose nothing by {until}; otherwise you lose {lost}.", until=until, lost=lost)
        ]
    least = numbers.minutes(with_sync)
    return [
        say(
            "Sync now, and by {until} you lose about {least}; otherwise you lose {lost}.",
            until=until,
            least=least,
            lost=lost,
        )
    ]


def say_waking(last: datetime, person: Person, now: datetime) -> list[str]:
    """Say on waking that the night is to be synced at once, when the memory is near its end or over it."""
    lapse_at = rules.lapse_at(last, person.memory_min)
    if now >= lapse_at:
        return [say("Please sync now: the first of your night is disappearing minute by minute.")]
    if lapse_at - now <= timedelta(minutes=person.sync_lead_min):
        by = numbers.clock(lapse_at, person.zone)
        return [say("Please sync by {clock}, while the sensor still has the whole night.", clock=by)]
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
        say(
            "{meal} ({foods}) was {long} ago",
            meal=say(m.entry.slot),
            foods=title(m.entry),
            long=numbers.minutes((now - m.at) / timedelta(minutes=1)),
        )
        for m in meals
        if isinstance(m.entry, Meal)
    ]
    said = join(named)
    said = capital(said)
    if with_sync:
        return say_count(
            "{meals}: with the readings I can draw the curve.",
            "{meals}: with the readings I can draw their curves.",
            len(named),
            meals=said,
        )
    return say_count(
        "{meals}. Please sync and send me the readings; then I can draw the curve.",
        "{meals}. Please sync and send me the readings; then I can draw their curves.",
        len(named),
        meals=said,
    )


def say_sensor_end(ends_at: datetime, person: Person, now: datetime) -> str:
    """Say that the sensor ends, and what to do before."""
    left = (ends_at.astimezone(person.zone).date() - now.astimezone(person.zone).date()).days
    clock = numbers.clock(ends_at, person.zone)
    if left == 0:
        when = say("today at {clock}", clock=clock)
    elif left == 1:
        when = say("tomorrow at {clock}", clock=clock)
    else:
        when = f"{numbers.day(ends_at, person.zone)} {clock}"
    return say("Your sensor ends {when}: have the next one ready, and sync this one before.", when=when)


NOTHING_SINCE_NOON = later(
    "Nothing is noted since noon. If you ate, tell me what and when; if not, all is well."
)


def say_why(kind: str, person: Person) -> str:
    """Say why a reminder of this kind came and how to change that."""
    if kind == "sync":
        hours = numbers.minutes(person.memory_min)
        return say("I ask because the sensor keeps only {hours}. Wrong moment? /lead or /quiet.", hours=hours)
    if kind == "check":
        example = numbers.glucose(6.1, person.unit)
        return say(
            "I ask because two hours make a meal's curve; a value that you type, like {value}, helps, too. "
            "/remind less ends this.",
            value=example,
        )
    if kind == "sensor end":
        days_worn = person.sensor_days
        return say(
            "I say so because a sensor lasts {days} days here; /sensor 10 changes that.", days=days_worn
        )
    if kind == "nudge":
        return say("You asked me for this; /nudge off ends it.")
    return say("You agreed to this test; “stop the test” ends it.")


_HOW = {
    "sync": "/lead, /quiet",
    "check": "/remind less",
    "sensor end": "/sensor 10",
    "nudge": "/nudge off",
    "trial": later("“stop the test”"),
}


EXPLAINED = frozenset(_HOW)
"""Kinds of reminders that say why they came, or how to change that."""


def say_how(kinds: Sequence[str]) -> list[str]:
    """Say in few words how to change reminders of these kinds, whose why is known by now."""
    commands = [command for kind in kinds for command in say(_HOW[kind]).split(", ")]
    if not commands:
        return []
    said = say("{commands} or {last}", commands=", ".join(commands[:-1]), last=commands[-1])
    return [say("(Wrong moment? {commands}.)", commands=said if len(commands) > 1 else commands[0])]
