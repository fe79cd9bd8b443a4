"""The plate that a correction speaks of: which of its foods is meant, and how much of it there was."""

import re
from dataclasses import replace

from bot.entries import Item, Meal
from bot.understanding.context import Context
from bot.understanding.foods.foods import make_item, read_foods
from bot.understanding.notes.notes import fold, read_notes
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.pieces import Amount, Clause
from bot.understanding.words.tokens import Token

LEAST_GRAMS = 15  # a bare number from here on is no count: "rice was more like 250"


def as_much(new: Item, old: Item) -> Item:
    """Give a food the amount of the one whose place it takes."""
    factor = old.grams / new.grams if new.grams else 1.0
    return replace(
        new,
        grams=old.grams,
        grams_low=old.grams_low,
        grams_high=old.grams_high,
        stated=old.stated,
        nutrients=None if new.nutrients is None else new.nutrients.scaled(factor),
    )


def with_unit(amount: str, item: Item) -> str:
    """Give a bare number the unit that its food was measured in: grams, or ml where that was said."""
    number = re.fullmatch(r"\d+(?:[.,]\d+)?", amount)
    if number is None or float(amount.replace(",", ".")) < LEAST_GRAMS:
        return amount
    return f"{amount} {'ml' if re.search(r'[0-9] ?ml', item.said) else 'g'}"


def was_said(amount: Amount, context: Context) -> bool:
    """Tell whether a food of the last plate was said with that number."""
    items = context.last.items if isinstance(context.last, Meal) else ()
    return any(said_with(item, amount.value) for item in items)


def said_with(item: Item, value: float) -> bool:
    """Tell whether an item was said with that number."""
    numbers = re.findall(r"\d+(?:[.,]\d+)?", item.said)
    return any(float(n.replace(",", ".")) == value for n in numbers)


def counted(item: Item) -> bool:
    """Tell whether a food was said with a number of pieces: "2 slices rye toast", "two digestives"."""
    words = item.said.lower().split()
    number = bool(words) and (words[0].isdigit() or words[0] in NUMBER_WORDS)
    return number and item.stated and not re.match(r"\d+ ?(?:g|ml|kg|l|oz|cl|dl)\b", item.said.lower())


def unit_and_name(item: Item) -> str:
    """Return an item's words without their number: "slices rye toast" of "2 slices rye toast"."""
    rest = re.sub(r"^\W*\d+(?:[.,]\d+)?\s*(?:g|ml|x)?\b\s*", "", item.said.lower())
    first, _, behind = rest.partition(" ")
    rest = behind if first in NUMBER_WORDS else rest
    return item.name if not rest or re.search(r"\d", rest) else rest


def items_in(text: str, context: Context) -> list[Item]:
    """Return the foods in some words, as a note would have them."""
    return [
        item for entry in read_notes(text, context).entries if isinstance(entry, Meal) for item in entry.items
    ]


def by_name(text: str, context: Context) -> list[Item]:
    """Take words that are no known food for one all the same ("remove the zorblax")."""
    pieces = tuple(p for p in fold(text, context.table) if isinstance(p, Token | Amount))
    foods = read_foods(Clause(pieces), context.table, None) if pieces else []
    return [make_item(food, text, context.table) for food in foods]


def same_as(item: Item, context: Context) -> Item | None:
    """Find what an item means on the last plate: the same food, or one that shares a word."""
    plate = context.last.items if isinstance(context.last, Meal) else ()
    words = set(item.name.lower().split()) | set(item.said.lower().split())
    same = [p for p in plate if p.name == item.name or (p.food is not None and p.food == item.food)]
    shared = [p for p in plate if words & set(p.name.lower().split())]
    return next(iter(same + shared), None)


def meant_by(items: list[Item], context: Context) -> list[Item]:
    """Return the foods of the last plate that these mean."""
    return [found for item in items if (found := same_as(item, context)) is not None]


def named_in(item: Item, context: Context) -> Item:
    """Call an item by the name that the last plate has it under, so that it is found there."""
    found = same_as(item, context)
    if found is None or found.name == item.name:
        return item
    if item.name in found.name or found.name in item.name:
        return replace(item, name=found.name)
    return item
