"""Whether the name of a food that was found is one that a careful person would accept."""

import re
import unicodedata
from typing import Any


def plain_words(text: str) -> list[str]:
    """Return the words without case, accents and plural endings.

    >>> plain_words("Two Crêpes, with Blueberries & tomatoes")
    ['two', 'crepe', 'with', 'blueberry', 'tomato']
    """
    bare = unicodedata.normalize("NFKD", text.lower().replace("’", "'").replace("'s ", " "))
    bare = "".join(c for c in bare if not unicodedata.combining(c))
    return [_singular(word) for word in re.findall(r"[a-z0-9ß]+", bare)]


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("oes", "ches", "shes", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us")):
        return word[:-1]
    return word


def name_fit(names: list[str], item: dict[str, Any]) -> int:
    """Return how well an item fits: 4 its whole name, 3 part of it, 2 its words as said, 1 its row, 0 not.

    >>> name_fit(["rice"], {"name": "brown rice", "said": "150 g brown rice", "food": "Rice, brown, cooked"})
    3
    """
    called = plain_words(item["name"])
    said = plain_words(item["said"])
    row = plain_words((item["food"] or "").split(",")[0])
    return max(_fit(plain_words(name), called, said, row) for name in names)


def _fit(name: list[str], called: list[str], said: list[str], row: list[str]) -> int:
    if name == called:
        return 4
    for fit, words in ((3, called), (2, said), (1, row)):
        if name and set(name) <= set(words):
            return fit
    return 0
