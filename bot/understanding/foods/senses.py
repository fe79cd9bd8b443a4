"""Words that mean one food beside some foods and another beside others: beans, chips, biscuits."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bot.foodtable import FoodTable
from bot.understanding.foods.categories import is_of
from bot.understanding.foods.said import Said
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.wordlists import word_set

_OF_CRISPS, _CHIPS = frozenset({"cup", "handful", "oz"}), word_set("chips chip")


@dataclass(frozen=True, slots=True)
class _Rule:
    """Beside a food that `shown` is true of, these names mean that food."""

    shown: Callable[[Said], bool]
    names: frozenset[str]
    means: str
    by_bag: bool = False


def _named(words: frozenset[str]) -> Callable[[Said], bool]:
    return lambda food: bool(words & set(food.words))


_RULES = (
    _Rule(lambda food: is_of("beside_baked_beans", food.match), word_set("beans"), "baked beans"),
    _Rule(lambda food: is_of("sandwich", food.match), word_set("chips"), "crisps", by_bag=True),
    _Rule(_named(TAGS.dips), word_set("chips"), "tortilla chips"),
    _Rule(_named(TAGS.mexican), word_set("tortillas tortilla"), "corn tortilla"),
    _Rule(_named(TAGS.southern), word_set("biscuit biscuits"), "american biscuit"),
    _Rule(lambda food: is_of("bread", food.match), word_set("jelly"), "american jelly"),
    _Rule(_named(TAGS.chinese), frozenset({"egg roll", "egg rolls"}), "spring roll"),
    _Rule(_named(TAGS.sausages), frozenset({"tom sauce", "tomato sauce", "sauce"}), "ketchup"),
    _Rule(_named(TAGS.festive), frozenset({"mince pie", "mince pies"}), "sweet mince pie"),
    _Rule(
        lambda food: is_of("tea_or_coffee", food.match) or is_of("milk", food.match),
        word_set("bourbons"),
        "bourbon biscuit",
    ),
    _Rule(_named(TAGS.with_pepper), word_set("pepper"), "salsa"),
    _Rule(_named(word_set("churro churros")), word_set("chocolate"), "hot chocolate"),
    _Rule(lambda food: is_of("stewed", food.match), word_set("dumplings dumpling"), "flour dumpling"),
)
_AMBIGUOUS = frozenset(name for rule in _RULES for name in rule.names)


_AMERICAN = {"chips": "crisps", "jelly": "american jelly"}
"""What some words mean across the Atlantic, whatever they stand beside."""


def settle_kinds(foods: Sequence[Said], table: FoodTable, *, american: bool) -> list[Said]:
    """Return the foods with each word that may mean several taken for the one that goes with the others.

    american: who speaks lives in the Americas
    """
    for food in foods:
        name = " ".join(word for word in food.words if word not in TAGS.manner)  # "warm mince pie"
        if name not in _AMBIGUOUS:
            continue
        if food.amount is not None and food.amount.unit in TAGS.of_pudding:
            continue  # "a bowl of jelly"
        if american and name in _AMERICAN:
            food.match = table.match(_AMERICAN[name]) or food.match
        by_bag = food.amount is not None and food.amount.unit == "sachet"
        for rule in _RULES:
            applies = name in rule.names and (by_bag or not rule.by_bag)
            if applies and any(rule.shown(other) for other in foods if other is not food):
                food.match = table.match(rule.means) or food.match
    return list(foods)
