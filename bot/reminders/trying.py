"""A serving that somebody wants to be reminded of: a plate they know, as it was or with one thing changed.

It is a reminder about the entry of the plate, whose kind also says what is changed and by which of its foods.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import get_args

from analysis.plan.candidates import Kind
from bot.model.entries import Meal
from bot.reminders import rules
from bot.reminders.evenings import EAT
from bot.reminders.quiet_hours import quiet_of
from bot.reminders.trials import AHEAD, DAYS_AHEAD, LOOK_BACK, usual_clock
from bot.reply.results_plan import word_serving
from bot.store import Logged, Person, Transaction


@dataclass(frozen=True, slots=True)
class Serving:
    """A plate (by the entry it was noted in) and its change: of which food, by its place, or which lever."""

    kind: Kind
    of: str
    entry_id: int

    @property
    def reminder(self) -> str:
        """The kind of its reminder."""
        return f"{EAT}:{self.kind}:{self.of}"

    @property
    def written(self) -> str:
        """The serving as the data of a button holds it."""
        return f"{self.kind},{self.of},{self.entry_id}"


def read_serving(kind: str, of: str, entry_id: str | int | None) -> Serving | None:
    """Read a serving from a reminder or a button; None where it is none."""
    number = str(entry_id)
    if kind not in get_args(Kind) or not number.isdecimal() or len(number) > 18:
        return None
    return Serving(kind, of, int(number))  # type: ignore[arg-type]


def plate_of(tx: Transaction, person: Person, serving: Serving) -> Meal | None:
    """Return the plate as it was noted; None where that is gone, or not of this person."""
    logged: Logged | None = tx.log.get(serving.entry_id)
    if logged is None or logged.person != person.id or logged.removed_at is not None:
        return None
    return logged.entry if isinstance(logged.entry, Meal) and logged.entry.items else None


def name_serving(serving: Serving, plate: Meal) -> str:
    """Name a serving in words: “Oats and milk with half the banana, at breakfast”."""
    names = [item.name for item in plate.items]
    place = int(serving.of) if serving.of.isdecimal() else -1
    of = names[place] if 0 <= place < len(names) else serving.of
    return word_serving(serving.kind, of, names, plate.slot)


def next_meal_at(tx: Transaction, person: Person, slot: str, now: datetime) -> datetime:
    """Return when to speak of the next meal of a slot: half an hour before its usual time, from now on."""
    zone = person.zone
    noted = tx.log.between(person.id, ("meal",), now - LOOK_BACK, now)
    clocks = [
        one.at.astimezone(zone).time()
        for one in noted
        if isinstance(one.entry, Meal) and one.entry.slot == slot and one.entry.items
    ]
    today, clock = now.astimezone(zone).date(), usual_clock(clocks, slot)
    ahead = (rules.first_instant(today + timedelta(days=n), clock, zone) - AHEAD for n in range(DAYS_AHEAD))
    return rules.next_allowed(next(at for at in ahead if at > now), quiet_of(person), zone)


def say_serving(tx: Transaction, person: Person, kind: str, entry_id: int | None) -> str:
    """Say which serving was to be remembered; "" where its plate is gone."""
    _, what, of = kind.split(":", 2)
    serving = read_serving(what, of, entry_id)
    plate = None if serving is None else plate_of(tx, person, serving)
    if serving is None or plate is None:
        return ""
    return f"You wanted to try this next: {name_serving(serving, plate)}. Note it as always when you have it."
