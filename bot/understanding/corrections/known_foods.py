"""The foods of the noted meals, by the words that they may be called by."""

from collections.abc import Sequence
from functools import lru_cache

from bot.foodtable import FoodTable
from bot.foodtable.words import plain_word
from bot.model.entries import Item, Meal
from bot.understanding.context import Context
from bot.understanding.corrections.cues import cues
from bot.understanding.words.lexicon import TAGS

MOST_PLATES = 40


class Plates:
    """The foods of the noted meals by their words."""

    def __init__(self, context: Context) -> None:
        self._words: dict[str, list[tuple[int, int]]] = {}
        self.items: dict[tuple[int, int], Item] = {}
        for noted in context.noted[-MOST_PLATES:]:
            if isinstance(noted.entry, Meal):
                self._add(noted.id, noted.entry)

    def _add(self, noted_id: int, meal: Meal) -> None:
        called = _words_of_plate(tuple((i.name, i.said, i.food or "") for i in meal.items))
        for place, (item, words) in enumerate(zip(meal.items, called, strict=True)):
            self.items[noted_id, place] = item
            for word in words:
                self._words.setdefault(word, []).append((noted_id, place))

    def knows(self, word: str) -> bool:
        """Tell whether some item has this word in its name."""
        return plain_word(word) in self._words

    def of_sort(self, category: str, table: FoodTable) -> tuple[tuple[int, int], ...]:
        """Return the items of one category of foods: a latte for "the coffee"."""
        kinds = {key: table.match(item.name) for key, item in self.items.items()}
        return tuple(sorted(k for k, m in kinds.items() if m is not None and m.food.category == category))

    def find(self, words: Sequence[str]) -> tuple[tuple[int, int], ...]:
        """Return the items that have all of these words."""
        sets = [set(self._words.get(plain_word(word), ())) for word in words]
        return tuple(sorted(set.intersection(*sets))) if sets else ()


def item_words(item: Item) -> frozenset[str]:
    """Return the words that an item may be called by: its name, what was said, its sort ("Bread, rye")."""
    return _words_of_food(item.name, item.said, item.food or "")


def _words_of_food(name: str, said: str, food: str) -> frozenset[str]:
    said = "" if len(said) > 60 else said
    words = f"{name} {said} {food.split(',')[0]}".lower().replace(",", " ").replace("-", " ").split()
    return frozenset(
        plain_word(w)
        for w in words
        if w.isalpha()
        and w not in TAGS.says_no_food
        and cues().get((w,), "G") == "G"  # "sugar" may be glucose
    )


@lru_cache(maxsize=2048)  # the plates of eight days are looked at for each message
def _words_of_plate(items: tuple[tuple[str, str, str], ...]) -> tuple[frozenset[str], ...]:
    """Return the words of each item, given by name, said and food.

    Foods said in a run without commas share their words: each keeps those that name no other.
    """
    names = [{plain_word(w) for w in name.lower().split()} for name, _, _ in items]
    found = []
    for place, item in enumerate(items):
        others = set().union(*names[:place], *names[place + 1 :])
        found.append(_words_of_food(*item) - (others - names[place]))
    return tuple(found)
