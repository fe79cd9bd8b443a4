"""A person's quiet hours, as the rules take them and in words."""

from datetime import time

from bot.reminders import rules
from bot.reply import numbers
from bot.store import Person


def quiet_of(person: Person) -> rules.Quiet:
    """Return the person's quiet hours as the rules take them."""
    return rules.Quiet(person.quiet_from, person.quiet_to)


def say_long_quiet(start: time, end: time, memory_min: float) -> list[str]:
    """Say what quiet hours cost each night that are longer than the sensor remembers."""
    long_min = (end.hour * 60 + end.minute - start.hour * 60 - start.minute) % (24 * 60)
    if long_min <= memory_min:
        return []
    lost = numbers.minutes(long_min - memory_min)
    return [
        f"Your quiet hours are longer than the sensor remembers: at least {lost} will be missing each night."
    ]


def word_quiet(person: Person) -> str:
    """Word a person's quiet hours: 23:00-06:30, none."""
    if person.quiet_from == person.quiet_to:
        return "none"
    return f"{person.quiet_from:%H:%M}-{person.quiet_to:%H:%M}"
