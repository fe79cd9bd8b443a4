"""Notes of food, and what notes that share a curve are together. Which those are: `analysis.occasions`.

Where an occasion begins depends on the notes before it, as far back as they follow each other closely; so
the notes are looked at from there on, and up to where nothing follows closely, whichever span is asked for.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.model.entries import Meal
from bot.store import Logged, Person, Transaction

DRINK_CARBS_G = 5.0
"""A drink with less carbohydrate than this is no meal to be scored: coffee, water, tea."""
SITTING = timedelta(minutes=5)
"""What is noted to be bitten so soon after a meal is of it, whatever it is."""
CLOSE = timedelta(hours=2)
"""Meals farther apart than this are never one occasion, and leave each other's curves alone."""
_JUST_AFTER = timedelta.resolution


def foods_around(tx: Transaction, person: Person, since: datetime, until: datetime) -> list[Logged]:
    """Return the notes of food in [since, until) and those they may share a curve with, in order of time."""
    start = _reach(tx, person, since, -CLOSE)
    end = _reach(tx, person, until, CLOSE)
    return [logged for logged in tx.log.between(person.id, ("meal",), start, end) if is_food(logged)]


def _reach(tx: Transaction, person: Person, at: datetime, step: timedelta) -> datetime:
    """Return the nearest instant before or after `at` with no food closely before or after it."""
    while True:
        low, high = sorted((at, at + step))
        near = [meal.at for meal in tx.log.between(person.id, ("meal",), low, high) if is_food(meal)]
        if not near:
            return at
        at = min(near) if step < timedelta(0) else max(near) + _JUST_AFTER


def is_food(logged: Logged) -> bool:
    """Tell whether an entry is a meal to be scored: some food of it is known, and it is not just water."""
    meal = logged.entry
    if not isinstance(meal, Meal) or not any(item.food for item in meal.items):
        return False
    return meal.slot != "drink" or (meal.nutrients.carbs_g or 0.0) >= DRINK_CARBS_G


def join_notes(notes: Sequence[Logged], main: int) -> Logged:
    """Return the notes of one occasion as one, under the id and at the time of the note `main`."""
    first = next(note for note in notes if note.id == main)
    joined: Meal | None = None
    for note in notes:
        more = note.entry
        assert isinstance(more, Meal)
        if joined is None:
            joined = more
            continue
        slot = more.slot if joined.slot == "drink" else joined.slot
        items, extras = (*joined.items, *more.items), (*joined.extras, *more.extras)
        joined = replace(joined, slot=slot, items=items, extras=extras, called="")
    assert joined is not None
    return replace(first, entry=replace(joined, at=first.at))
