"""What a person's words and habits make of entries that were read: plates spelt out, usual portions."""

import re
from dataclasses import replace

from bot.foodtable import FoodTable
from bot.model.entries import Correction, Entry, Item, Meal, Understood
from bot.understanding.context import Context
from bot.understanding.foods.own_table import MARK, OwnTable, expand, scale

_WEIGHED = re.compile(r"\d ?(?:g|gr|gm|grams?|kg|oz|ounces?|lbs?)\b", re.IGNORECASE)


def settle(understood: Understood, context: Context) -> Understood:
    """Return what was understood with the person's own plates spelt out and their usual portions."""
    return replace(understood, entries=tuple(_settle_entry(e, context) for e in understood.entries))


def _settle_entry(entry: Entry, context: Context) -> Entry:
    if isinstance(entry, Correction) and entry.what == "add":
        return _settle_added(entry, context)
    if not isinstance(entry, Meal):
        return entry
    extras = entry.extras
    if isinstance(context.table, OwnTable):
        owns = [context.table.own_of(item.food) for item in entry.items]
        extras += tuple(extra for own in owns if own is not None for extra in own.meal.extras)
    return replace(entry, items=_settle_items(entry.items, context), extras=extras)


def _settle_added(added: Correction, context: Context) -> Correction:
    """Settle what is added to a plate, there as well."""
    items = _settle_items(added.items, context)
    after, n = added.after, len(added.items)
    if isinstance(after, Meal) and after.items[-n:] == added.items:
        after = replace(after, items=after.items[:-n] + items)
    return replace(added, items=items, after=after)


def _settle_items(items: tuple[Item, ...], context: Context) -> tuple[Item, ...]:
    settled: list[Item] = []
    for item in items:
        if item.food is not None and item.food.endswith(MARK):
            settled += expand(item, context.table)
        else:
            settled.append(_with_usual(_of_kind(item, context), context))
    return tuple(settled)


def _with_usual(item: Item, context: Context) -> Item:
    """Give a food without amount the usual one; "a bit of" stays a bit."""
    if item.stated or item.food is None or item.grams <= 0:
        return item
    usual = context.personal.usual(item.food)
    if usual is None:
        return item
    match = context.table.match(item.name)
    portions = 1.0 if match is None else item.grams / context.table.portion(match).grams
    share = portions if "portion" in item.assumed else 1.0
    grams = usual.grams * share
    kept = [part for part in item.assumed.split("; ") if part and "=" not in part]
    found = replace(scale(item, grams / item.grams), grams_low=grams * 0.85, grams_high=grams * 1.15)
    return replace(found, assumed="; ".join([*kept, f"your usual {grams:.3g} g"]))


def asks_for_kind(item: Item, table: FoodTable) -> Item | None:
    """Return a weighed food as the dry one it may have been ("100 g rice"), None where that is clear."""
    if not (
        item.stated and item.food is not None and "cooked" in item.assumed and _WEIGHED.search(item.said)
    ):
        return None
    return as_named(item, f"dry {item.name}", table)


def as_named(item: Item, name: str, table: FoodTable) -> Item | None:
    """Return the same weight of the food of another name, None where that is no food known."""
    match = table.match(name)
    if match is None or match.food.description == item.food:
        return None
    kept = replace(item, name=match.name, food=match.food.description, sure=match.sure, assumed=match.assumed)
    return replace(kept, nutrients=match.food.per_100g.scaled(item.grams / 100))


def _of_kind(item: Item, context: Context) -> Item:
    """Take a name that may be two foods for the one the person said it is."""
    if item.food is None or asks_for_kind(item, context.table) is None:
        return item
    name = context.personal.kind_of(item.food)
    found = None if name is None else as_named(item, name, context.table)
    return item if found is None else replace(found, assumed=f"{found.name}, as you said before")
