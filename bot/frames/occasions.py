"""Which notes are one meal to be scored. The only place that groups them, so that all who ask agree.

An occasion begins with the first bite of some food, and takes in what else was first bitten within five
minutes of it. Where one begins depends on the notes before it, as far back as they follow each other closely;
so the notes are looked at from there on, whichever span is asked for.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.model.entries import Meal
from bot.store import Logged, Person, Transaction

DRINK_CARBS_G = 5.0
"""A drink with less carbohydrate than this is no meal to be scored: coffee, water, tea."""
ONE_OCCASION = timedelta(minutes=5)
"""Notes whose first bites lie within a sensor's interval are of one eating occasion."""
_JUST_AFTER = timedelta.resolution


def occasions_between(
    tx: Transaction, person: Person, since: datetime | None, until: datetime
) -> list[Logged]:
    """Return the occasions that begin in [since, until), in order of time.

    Each is whole and one meal, under the id and at the time of its first note: all of it shares one curve,
    which ranked against itself would be told twice, as two verdicts.
    """
    start = None if since is None else _begin(tx, person, since)
    meals = tx.log.between(person.id, ("meal",), start, until + ONE_OCCASION + _JUST_AFTER)
    joined = map(_join, _group(meals))
    return [one for one in joined if (since is None or since <= one.at) and one.at < until]


def occasion_of(tx: Transaction, person: Person, logged: Logged) -> Logged | None:
    """Return the occasion that a note belongs to; None for one that is not scored, and within no other's."""
    if logged.removed_at is not None:
        return None
    begun = occasions_between(tx, person, logged.at - ONE_OCCASION, logged.at + _JUST_AFTER)
    return begun[-1] if begun else None


def is_food(logged: Logged) -> bool:
    """Tell whether an entry is a meal to be scored: some food of it is known, and it is not just water."""
    meal = logged.entry
    if not isinstance(meal, Meal) or not any(item.food for item in meal.items):
        return False
    return meal.slot != "drink" or (meal.nutrients.carbs_g or 0.0) >= DRINK_CARBS_G


def _begin(tx: Transaction, person: Person, at: datetime) -> datetime:
    """Return from when on notes must be looked at: no earlier one can be joined to any after `at`."""
    while near := tx.log.between(person.id, ("meal",), at - ONE_OCCASION, at):
        at = min(meal.at for meal in near)
    return at


def _group(meals: Sequence[Logged]) -> list[list[Logged]]:
    groups: list[list[Logged]] = []
    for logged in sorted(filter(is_food, meals), key=lambda meal: (meal.at, meal.id)):
        if groups and logged.at - groups[-1][0].at <= ONE_OCCASION:
            groups[-1].append(logged)
        else:
            groups.append([logged])
    return groups


def _join(notes: Sequence[Logged]) -> Logged:
    """Return the notes of one occasion as one, under the first's id."""
    first, *others = notes
    meal = first.entry
    assert isinstance(meal, Meal)
    for other in others:
        more = other.entry
        assert isinstance(more, Meal)
        slot = more.slot if meal.slot == "drink" else meal.slot
        items, extras = (*meal.items, *more.items), (*meal.extras, *more.extras)
        meal = replace(meal, slot=slot, items=items, extras=extras, called="")
    return replace(first, entry=meal)
