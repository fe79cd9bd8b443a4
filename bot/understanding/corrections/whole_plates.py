"""Changes of a plate as a whole: taken out, only some kept of it, other foods in its place, its order."""

import re
from dataclasses import replace
from datetime import timedelta

from bot.model.entries import Correction, Item, Meal
from bot.understanding.corrections.amounts_changed import LEAST_SHARE, place_by_amount, weigh_as
from bot.understanding.corrections.change import Change, items_of, words_of
from bot.understanding.corrections.oddness import AT_ONCE, numbers_said
from bot.understanding.corrections.parting import may_be_parts, part_out
from bot.understanding.corrections.plates import as_much, is_aside
from bot.understanding.foods.categories import is_of
from bot.understanding.foods.own_table import scale
from bot.understanding.pieces.pieces import Amount

_WHAT_FIRST = "I keep what was eaten first: say it like “had the salad first”."
SOME = 0.2
"""So much of a food is "some" or "a bit" of it that was left; no source."""
STILL_FRESH = timedelta(minutes=30)
"""Later than that, "only coffee" is a meal of its own."""


def undo(change: Change) -> Correction | None:
    """Take the whole entry out; what names none is what was done last, whatever that was."""
    named = change.frame.all("at", "at2", "what") or change.context.pointed is not None
    return change.done("undo", None) if named else change.done("undo", None, target=None)


def keep(change: Change) -> Correction | None:
    """Leave only the foods that are named on a plate: "I only had the tea"."""
    meal, kept = change.entry, set(change.target.places)
    if not isinstance(meal, Meal) or change.context.now - change.target.noted.touched_at > STILL_FRESH:
        return None
    table = change.context.table
    drunk = any(is_of("drinkable", table.match(meal.items[place].name)) for place in kept)
    for place, item in enumerate(meal.items):  # "mint tea, 2 sugars"
        if drunk and place - 1 in kept and is_of("goes_into_drinks", table.match(item.name)):
            kept.add(place)
    gone = [item for place, item in enumerate(meal.items) if place not in kept]
    left = tuple(item for place, item in enumerate(meal.items) if place in kept)
    return change.done("remove", replace(meal, items=left), gone)


def renew(change: Change) -> Correction | None:
    """Put other foods in the place of all that was noted last: "scratch that, I had apple juice"."""
    meal, context = change.entry, change.context
    newest = change.target.noted.id in (context.noted[-1].id, context.pointed)
    if not isinstance(meal, Meal) or not (newest or change.frame.all("at")):
        return None
    new = items_of(words_of(change.frame.all("new", "parts"), change.text), context)
    if not new or any(item.food is None for item in new):
        return None
    told = bool(change.frame.all("parts")) and not change.frame.all("at")
    if told and not (
        context.now - change.target.noted.touched_at <= AT_ONCE and may_be_parts(new, meal, context)
    ):
        return None
    new = [as_much(new[0], meal.items[0], change)] if len(new) == len(meal.items) == 1 else new
    return change.done("amount", replace(meal, items=tuple(new), extras=()), new)


def order(change: Change) -> Correction | str | None:
    """Put what was eaten first, before the rest or before the food that is named, at the head of the plate.

    What came last says which was first only where there are two, or the order was known.
    """
    meal, frame = change.entry, change.frame
    if not isinstance(meal, Meal) or len(meal.items) < 2:
        return None
    places, n_first = change.target.places, len(frame.all("first"))
    first, last = places[:n_first], places[n_first + len(frame.all("then")) :]
    rest = [place for place in range(len(meal.items)) if place not in {*first, *last}]
    if last and len(rest) > 1 and not meal.eaten_in_order:
        return _WHAT_FIRST
    items = tuple(meal.items[place] for place in (*first, *rest, *last))
    return change.done("order", replace(meal, items=items, eaten_in_order=True), items[:1])


def _counts(item: Item, meal: Meal, unit: str) -> set[float]:
    """Return how many of it there were: 8 of "large pizza, 8 slices"."""
    if not unit:
        return numbers_said(item)
    said = meal.said if len(meal.items) == 1 else item.said
    return {float(n) for n in re.findall(rf"(\d+) {unit}s?\b", said.lower())}


def fewer(change: Change) -> Correction | None:
    """Take some of a food off a plate: "remove 1 egg" of two, "one of them was my son's"."""
    change = part_out(change, "item")
    meal, much, gone = change.entry, change.frame.first("off"), change.frame.first("item")
    if not isinstance(meal, Meal) or much is None or not isinstance(much.piece, Amount):
        return None
    places = change.target.places or (place_by_amount(meal, change, "off"),)
    place = places[0]
    if place is None or much.piece.minutes is not None:
        return None
    item, less = meal.items[place], much.piece.value
    if gone is not None and is_aside(item, gone, change.context.table):
        return None  # one of the two eggs that were said to be in a dish
    counts = _counts(item, meal, much.piece.unit)
    if much.piece.vague and not much.piece.unit:
        left = 1 - SOME  # "left a bit of the rice"
    elif counts and less <= max(counts):
        left = 1 - less / max(counts)
    else:
        extra = weigh_as(item, much, change)
        left = 1 - extra.grams / item.grams if extra is not None and item.grams else -1.0
    if left < 0 or (left > 0 and left < LEAST_SHARE):
        return None
    kept = (replace(scale(item, left), stated=True),) if left else ()
    items = (*meal.items[:place], *kept, *meal.items[place + 1 :])
    after = replace(meal, items=items) if items or meal.extras else None
    return change.done("amount" if kept else "remove", after, kept or [item])
