"""A dish of several foods as its foods, where a change names one of them: the chips of "fish and chips"."""

import re
from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable.words import make_key
from bot.model.entries import Item, Meal
from bot.understanding.context import Context
from bot.understanding.corrections.change import Change, items_of
from bot.understanding.corrections.oddness import numbers_said
from bot.understanding.foods.categories import are_kin, is_of
from bot.understanding.foods.own_table import scale
from bot.understanding.words.lexicon import TAGS

_JOINED = re.compile(rf" (?:{'|'.join(map(re.escape, sorted(TAGS.joins_parting)))}) ")


def names_of_parts(name: str) -> list[str]:
    """Return the foods that a dish is named by.

    >>> names_of_parts("fish and chips")
    ['fish', 'chips']
    """
    return _JOINED.split(name.lower())


def may_be_parts(new: Sequence[Item], meal: Meal, context: Context) -> bool:
    """Tell whether foods said just after a meal may be what it consisted of: roti, rice and dal of a thali.

    As many as there were ("2 fish, 1 shrimp" of three tacos), what the dish is made of or what lies on its
    bread, or foods of its sort: papaya and melon of a bowl of fruit.
    """
    if len(meal.items) != 1:
        return False
    old, table = meal.items[0], context.table
    counts = [max(numbers_said(item), default=0.0) for item in new]
    as_many = len(new) > 1 and bool(numbers_said(old)) and sum(counts) == max(numbers_said(old))
    made_of = len(new) > 1 and any((item.food or "?").split(" (")[0] in (old.food or "") for item in new)
    bread = any(is_of("bread", table.match(item.name)) for item in new)
    on_bread = len(new) > 1 and bread and is_of("lies_on_bread", table.match(old.name))
    known = [(table.match(old.name), table.match(item.name)) for item in new]
    of_sort = not old.stated and all(a and b and a.food.category == b.food.category for a, b in known)
    kin = all(are_kin(a, b) for a, b in known)
    return as_many or made_of or on_bread or (len(new) > 1 and (of_sort or kin))


def part_out(change: Change, *parts: str) -> Change:
    """Return the change on a plate whose dish stands there as its foods, where one of them is named."""
    meal, places, context = change.entry, change.target.places, change.context
    named = next((e for e in change.frame.all(*parts) if e.tag in "PK"), None)
    if named is None or len(places) != 1 or not isinstance(meal, Meal):
        return change
    item, said = meal.items[places[0]], set(make_key(named.said).split())
    names = names_of_parts(item.name)
    of = [k for k, name in enumerate(names) if said & set(make_key(name).split())]
    if (
        len(names) < 2
        or len(of) != 1
        or item.stated
        or is_of("lies_on_bread", context.table.match(item.name))
    ):
        return change
    foods = items_of(", ".join(names), context)
    total = sum(food.grams for food in foods if food.grams)
    if len(foods) != len(names) or not total or any(food.food is None or not food.grams for food in foods):
        return change
    share = item.grams / total if item.grams else 1.0
    fresh = tuple(scale(food, share) for food in foods)
    items = (*meal.items[: places[0]], *fresh, *meal.items[places[0] + 1 :])
    noted = replace(change.target.noted, entry=replace(meal, items=items))
    return replace(change, target=replace(change.target, noted=noted, places=(places[0] + of[0],)))
