"""One food of a plate that was of another meal: it leaves the plate and becomes an entry of its own."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.model.entries import Correction, Item, Meal, Slot
from bot.understanding.context import Context
from bot.understanding.corrections.change import Change
from bot.understanding.foods.categories import is_nibble, is_of
from bot.understanding.pieces.instants import place
from bot.understanding.pieces.slots import USUAL_TIME, slot_of_hour

LARGEST_SHARE = 0.5
"""Of a plate's energy; what is more of it stands for the whole plate ("the curry was yesterday")."""
APART, LARGEST_APART = timedelta(hours=1), 0.75
"""So far off, by the clock, is a food that was not named first and is no more than so much of its plate."""


def split(change: Change, at: datetime | None, slot: Slot | None) -> Correction | None:
    """Move the named foods off a plate to another day or meal; None where the whole plate is meant.

    at: when they were eaten, None where only the meal's name was said; slot: that name, if any
    """
    meal, gone = change.entry, set(change.target.places)
    if not isinstance(meal, Meal) or not gone or len(gone) == len(meal.items) or meal.at is None:
        return None
    moved = tuple(item for k, item in enumerate(meal.items) if k in gone)
    rest = tuple(item for k, item in enumerate(meal.items) if k not in gone)
    energy = _energy(moved) + _energy(rest)
    zone = change.context.zone
    day = meal.at.astimezone(zone).date()
    on_the_day = at is not None and at.astimezone(zone).date() == day and slot in (None, meal.slot)
    if energy <= 0 or _energy(moved) > (LARGEST_APART if on_the_day else LARGEST_SHARE) * energy:
        return None
    if at is None:
        if slot not in USUAL_TIME:
            return None
        known = [
            noted.entry.at
            for noted in change.context.noted
            if isinstance(noted.entry, Meal) and noted.entry.slot == slot and noted.entry.at is not None
        ]
        same_day = [known_at for known_at in known if known_at.astimezone(zone).date() == day]
        at = same_day[-1] if same_day else place(day, USUAL_TIME[slot], zone)
    elif on_the_day and (0 in gone or abs(at - meal.at) < APART):
        return None  # a clock time near by, or with what a plate is called by, is the whole plate's
    if slot is None and on_the_day:
        slot = name_by_hour(moved, at, change.context)
    new = Meal(at, slot or meal.slot, moved, timed="stated", said=meal.said)
    after = replace(meal, items=rest)
    noted = Correction("note", said=change.text, after=new)
    return change.done("remove", after, moved, also=(noted,))


def name_by_hour(items: Sequence[Item], at: datetime, context: Context) -> Slot:
    """Return what foods eaten at an hour are called, as of a note that names no meal."""
    foods = [context.table.match(item.name) for item in items]
    if all(is_of("drinkable", food) for food in foods):
        return "drink"
    return slot_of_hour(at.astimezone(context.zone).hour, only_nibbles=is_nibble(foods))


def _energy(items: tuple[Item, ...]) -> float:
    known = (item.nutrients for item in items if item.nutrients is not None)
    return sum((nutrients.energy_kcal or 0.0 for nutrients in known), 0.0)
