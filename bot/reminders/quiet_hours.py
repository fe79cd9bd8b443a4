"""A person's quiet hours, as the rules take them and in words."""

from datetime import datetime, time, timedelta

from bot.language.texts import say
from bot.language.times import write_span
from bot.model.entries import Sleep
from bot.reminders import days, rules
from bot.reply import numbers
from bot.store import Person, Transaction

USUAL_SLEEP_MIN = 8 * 60
"""Where no quiet hours are told."""
SOON = timedelta(hours=3)
"""Who goes to bed so long before the quiet hours sleeps to their end."""


def quiet_of(person: Person) -> rules.Quiet:
    """Return the person's quiet hours as the rules take them."""
    return rules.Quiet(person.quiet_from, person.quiet_to)


def _length_min(start: time, end: time) -> int:
    return (end.hour * 60 + end.minute - start.hour * 60 - start.minute) % (24 * 60)


def day_began(now: datetime, person: Person) -> datetime:
    """Return when the person's day began: with the end of the last night, without one at midnight."""
    quiet, zone = quiet_of(person), person.zone
    is_night = _length_min(quiet.start, quiet.end) >= days.A_NIGHT_MIN
    clock, today = quiet.end if is_night else time(0), now.astimezone(zone).date()
    begun = (rules.first_instant(today - timedelta(days=n), clock, zone) for n in range(3))
    return next(at for at in begun if at <= now)


def wake_after(bed_at: datetime, person: Person) -> datetime:
    """Return when somebody who goes to bed then is expected to wake.

    At the end of the quiet hours that begin soon or have begun; at another hour, as on a day off after night
    shifts, when as long a sleep is over.
    """
    quiet = quiet_of(person)
    if rules.in_quiet(bed_at, quiet, person.zone) or rules.in_quiet(bed_at + SOON, quiet, person.zone):
        return days.day_end(bed_at, quiet, person.zone)
    return bed_at + timedelta(minutes=_length_min(quiet.start, quiet.end) or USUAL_SLEEP_MIN)


def asleep_until(tx: Transaction, person: Person, now: datetime) -> datetime | None:
    """Return until when the person sleeps who went to bed and has noted nothing since; None: awake."""
    nights = tx.log.between(person.id, ("sleep",), now - timedelta(days=1), now + timedelta(minutes=1))
    last = nights[-1] if nights else None
    if last is None or not isinstance(last.entry, Sleep) or last.entry.to_at is not None:
        return None
    bed_at = last.entry.from_at
    noted = tx.log.between(person.id, ("meal", "activity", "feeling"), bed_at, now + timedelta(minutes=1))
    if bed_at is None or any(one.logged_at > last.logged_at for one in noted):
        return None
    until = wake_after(bed_at, person)
    return until if until > now else None


def say_long_quiet(start: time, end: time, memory_min: float) -> list[str]:
    """Say what quiet hours cost each night that are longer than the sensor remembers."""
    long_min = _length_min(start, end)
    if long_min <= memory_min:
        return []
    lost = numbers.minutes(long_min - memory_min)
    return [
        say(
            "Your quiet hours are longer than the sensor remembers: you lose at least {lost} a night.",
            lost=lost,
        )
    ]


def word_quiet(person: Person) -> str:
    """Word a person's quiet hours: 23:00-06:30, none."""
    if person.quiet_from == person.quiet_to:
        return "none"
    return f"{write_span(person.quiet_from, person.quiet_to)}"
