"""What dishes are made of, as far as that tells whether a food beside one is in it already."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bot.foodtable.words import make_key, plain_word


@dataclass(frozen=True, slots=True)
class Recipe:
    """The words for what is in a dish, and whether it is "made", "filled" or only a "title" of its parts."""

    parts: frozenset[str]
    kind: str


@cache
def read_recipes() -> Mapping[str, Recipe]:
    """Return the recipes of recipes.txt by the key of every name."""
    recipes: dict[str, Recipe] = {}
    for line in (files("bot.foodtable") / "recipes.txt").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            names, parts, kind = (column.strip() for column in line.split("|"))
            recipe = Recipe(frozenset(map(plain_word, parts.split())), kind)
            recipes |= {make_key(name): recipe for name in names.split(",")}
    return recipes


def recipe_of(words: Sequence[str]) -> Recipe | None:
    """Return what the dish of some words is made of, also where something stands before its name."""
    key = make_key(" ".join(words)).split()
    recipes = read_recipes()
    return next((recipes[k] for n in range(len(key)) if (k := " ".join(key[n:])) in recipes), None)
