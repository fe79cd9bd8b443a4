"""Which foods of the record a person means: a food by its names, kinds of it, or a dish as its parts.

Pure but for the words that the person taught.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bot.answers.sides import holds, names
from bot.model.entries import Meal
from bot.store import Person, Transaction
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.wordlists import word_set

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from bot.frames.rows import Occasions

_AROUND = word_set("my the a an usual standard everyday normal regular typical daily one")
"""Words beside a dish's name: “my usual breakfast”."""
_AND = re.compile(r" (?:and|with|plus) ")
OFTEN = 0.5
"""What is in so many of the servings of a dish is a part of it."""


@dataclass(frozen=True, slots=True)
class Dish:
    """A dish: what it is called, its parts (foods), and the rows (`entry_id`) that it was eaten in."""

    name: str
    parts: tuple[str, ...]
    entry_ids: frozenset[int]


def foods_meant(words: str, occasions: "Occasions") -> list[str]:
    """Return the foods that words name, the most often eaten first: that food, or kinds of it.

    "rice" is white rice and brown rice, not rice pudding, where one of the former was eaten.
    """
    said = words.lower().strip()
    exact = [food for food, names_of in occasions.said.items() if said in names_of]
    if exact:
        return exact
    held = {
        food: [name for name in names_of if holds(name, words)] for food, names_of in occasions.said.items()
    }
    found = [food for food, names_of in held.items() if names_of]
    kinds = [food for food in found if any(_ends_with(name, said) for name in held[food])]
    times = Counter(one.food for row in occasions.rows for one in row.eaten)
    return sorted(kinds or found, key=lambda food: -times[food])


def _ends_with(name: str, said: str) -> bool:
    """Tell whether a name is a kind of what was said, by its last words: "white rice" of rice."""
    return holds(" ".join(name.split()[-len(said.split()) :]), said)


def find_meant(
    tx: Transaction, person: Person, words: str, occasions: "Occasions"
) -> "list[str] | Dish | None":
    """Return the foods that words name, or the dish; None where nothing with a curve was noted by them.

    Words that the person taught come first, then a food of the record, then the usual meal of a slot, then
    “rice and lentils”, then whatever was noted under that name.
    """
    bare = " ".join(word for word in words.lower().split() if word not in _AROUND)
    taught = [tx.words.get(person.id, said) for said in dict.fromkeys((words, bare))]
    plate = next((word for word in taught if word is not None and len(word.meal.items) > 1), None)
    if plate is not None:
        return _dish_of(plate.name, _list_foods(plate.meal), frozenset(occasions.meals), occasions)
    foods = foods_meant(words, occasions)
    if foods:
        return foods
    every = frozenset(occasions.meals)
    slot = SLOT_WORDS.get(bare) or SLOT_WORDS.get(bare.removesuffix("s"))
    if slot is not None:
        plates = Counter(_foods_of(meal) for meal in occasions.meals.values() if meal.slot == slot)
        usual = plates.most_common(1)
        return _dish_of(f"usual {slot}", sorted(usual[0][0]), every, occasions) if usual else None
    each = [foods_meant(part, occasions)[:1] for part in _AND.split(words)]
    if len(each) > 1 and all(each):
        return _dish_of(words, [food for found in each for food in found], every, occasions)
    meant = frozenset(key for key, meal in occasions.meals.items() if bare and names(bare, meal))
    counted = Counter(food for key in meant for food in _foods_of(occasions.meals[key]))
    parts = [food for food, n in counted.most_common() if n >= OFTEN * len(meant)]
    return _dish_of(bare, parts, meant, occasions)


def _dish_of(name: str, parts: Sequence[str], among: frozenset[int], occasions: "Occasions") -> Dish | None:
    """Return a dish of these parts over the notes that held all of them; None where none did."""
    parts = tuple(dict.fromkeys(parts))
    held = frozenset(key for key in among if {*parts} <= _foods_of(occasions.meals[key]))
    return Dish(name, parts, held) if parts and held else None


def _list_foods(meal: Meal) -> list[str]:
    from bot.frames.rows import food_of

    return [food_of(item) for item in meal.items]


def _foods_of(meal: Meal) -> frozenset[str]:
    return frozenset(_list_foods(meal))


def rows_at(entry_ids: frozenset[int], occasions: "Occasions") -> Sequence[int]:
    """Return where the rows of some notes stand."""
    return [k for k, row in enumerate(occasions.rows) if row.entry_id in entry_ids]
