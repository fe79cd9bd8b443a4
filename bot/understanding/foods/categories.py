"""Groups of foods by the category that the composition table gives them, as lexicon.toml lists them."""

from collections.abc import Sequence
from functools import cache
from operator import or_

from bot.foodtable import Match
from bot.understanding.foods.said import Said
from bot.understanding.words.lexicon import TAGS, table_of


def is_of(group: str, match: Match | None) -> bool:
    """Tell whether a food is of a group; one that the lexicon does not hold is a mistake in the code."""
    if match is None:
        return False
    begins, names, ends = _members(group)
    return (
        match.food.category.startswith(begins) or match.entry in names or match.food.category.endswith(ends)
    )


@cache
def _members(group: str) -> tuple[tuple[str, ...], frozenset[str], tuple[str, ...]]:
    """Return how the categories of a group begin, which foods are in it by name, and how categories end."""
    said = table_of("group")[group].split("|")
    others = [_members(name[1:]) for name in said if name.startswith("@")]
    begins = [name for name in said if name[0] not in "=*@"]
    names = frozenset(name[1:] for name in said if name.startswith("="))
    return (
        tuple(begins + [begin for other in others for begin in other[0]]),
        names.union(*(other[1] for other in others)),
        tuple([name[1:] for name in said if name.startswith("*")] + [e for o in others for e in o[2]]),
    )


def are_kin(a: Match | None, b: Match | None) -> bool:
    """Tell whether one food may stand where the other does: two fruits, two drinks, two kinds of bread."""
    return any(_is_among(group, a) and _is_among(group, b) for group in table_of("kin").values())


def _is_among(categories: str, match: Match | None) -> bool:
    return match is not None and match.food.category.startswith(tuple(categories.split("|")))


def dish_of_many(foods: Sequence[Match]) -> Match | None:
    """Return which of the foods named in a row is a dish with the others in it, None for several."""
    first, last = foods[0], foods[-1]
    plain_egg = last.food.description.startswith("Egg, whole")
    if is_of("dish_of_parts", last) and not plain_egg and all(is_of("filling", food) for food in foods[:-1]):
        return last
    return first if is_of("filled", first) and all(is_of("filling", food) for food in foods[1:]) else None


def is_nibble(foods: Sequence[Match | None]) -> bool:
    """Tell whether foods are only fruit, nuts, sweets and the like."""
    nibbles = [is_of("nibble", food) for food in foods]
    drinks = [is_of("drinkable", food) for food in foods]
    return any(nibbles) and all(map(or_, nibbles, drinks))


def is_cereal(foods: "Sequence[Said]") -> bool:
    """Tell whether one of the foods is eaten at breakfast: porridge, muesli, cereal."""
    return any(is_of("cereal", food.match) or TAGS.cereal & set(food.words) for food in foods)


def is_drink(foods: "Sequence[Said]") -> bool:
    """Tell whether foods are a drink and at most what goes into it."""
    drinks = [is_of("drinkable", food.match) for food in foods if not food.is_extra]
    others = [is_of("into_drinks", food.match) for food in foods if not food.is_extra]
    return any(drinks) and all(map(or_, drinks, others))


def is_sugar(match: Match | None) -> bool:
    """Tell whether it is sugar: a spoon of it is the one for a cup."""
    return match is not None and match.food.description.startswith("Sugar,")
