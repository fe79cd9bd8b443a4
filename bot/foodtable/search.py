"""Search over all descriptions of the composition table, for words that are no everyday name.

A description counts only when every word that was said is in it and its own head noun ("Duck" in "Duck,
roasted, skin eaten"; "salmon" in "Fish, salmon, grilled") was said: so "table" is not "Salt, table".
"""

import math
from collections.abc import Iterable, Sequence

from rapidfuzz import fuzz

from bot.foodtable.words import WORDS, make_key

# Categories that hold no everyday food.
_LEFT_OUT = ("Baby", "Formula", "Fast Foods", "Restaurant", "American Indian", "Not included")

_MOST_CANDIDATES = 400
_HEAD_COVERED = 0.6
_LEAST_LIKE = 40.0
_COVERED, _WEIGHT_UNKNOWN = 0.5, 3.0
"""How much of what was said a row near it must hold; how much a word counts that is in no row; no source."""


class Search:
    """An index from word to descriptions."""

    def __init__(self, outline: Iterable[tuple[str, str]]) -> None:
        self._rows: list[tuple[str, tuple[str, ...], tuple[frozenset[str], ...]]] = []
        self._having: dict[str, list[int]] = {}
        for description, category in outline:
            if category.startswith(_LEFT_OUT) or is_branded(description):
                continue
            parts = [_significant(part) for part in description.split(",")]
            words = tuple(dict.fromkeys(word for part in parts for word in part))
            row = len(self._rows)
            self._rows.append((description, words, tuple(map(frozenset, parts))))
            for word in words:
                self._having.setdefault(word, []).append(row)

    def find(self, words: Sequence[str]) -> tuple[str, float] | None:
        """Return (description, likeness 0 to 1) of the best row that holds all the plain words, or None."""
        said = dict.fromkeys(word for word in words if word not in WORDS["empty"])
        lists = [self._having.get(word) for word in said]
        if said.keys() <= WORDS["vague"] or None in lists:
            return None
        found = set.intersection(*(set(rows) for rows in lists if rows is not None))
        text = " ".join(sorted(said))
        best: tuple[float, int, str] | None = None
        for row in sorted(found)[:_MOST_CANDIDATES]:
            description, known, parts = self._rows[row]
            if not _names_head(parts, said.keys()):
                continue
            likeness = fuzz.ratio(text, " ".join(sorted(known)))
            likeness -= 10.0 * len(WORDS["odd"].intersection(known) - said.keys())
            rank = (likeness, -len(description), description)
            if likeness >= _LEAST_LIKE and (best is None or rank > best):
                best = rank
        return None if best is None else (best[2], best[0] / 100.0)

    def near(self, words: Sequence[str], most: int) -> list[str]:
        """Return the rows that hold most of the plain words, rare words counting more, likest first.

        The last word that is known must be among them: it says what sort of food it is.
        """
        said = [w for w in dict.fromkeys(words) if w in self._having and w not in WORDS["empty"]]
        known = [w for w in said if w not in WORDS["vague"]]
        if not known:
            return []
        weights = {w: math.log(len(self._rows) / len(self._having[w])) for w in said}
        whole = sum(weights.values()) + _WEIGHT_UNKNOWN * len(set(words) - set(said) - WORDS["empty"])
        ranked = []
        for row in self._having[known[-1]]:
            description, held, _ = self._rows[row]
            share = sum(weight for word, weight in weights.items() if word in held) / whole
            if share >= _COVERED:
                likeness = fuzz.ratio(" ".join(sorted(said)), " ".join(sorted(held)))
                likeness -= 10.0 * len(WORDS["odd"].intersection(held) - set(said))
                ranked.append((-share - likeness / 100.0, len(description), description))
        return [description for _, _, description in sorted(ranked)[:most]]


def _significant(text: str) -> list[str]:
    return [word for word in make_key(text).split() if word not in WORDS["empty"]]


def is_branded(description: str) -> bool:
    """Tell whether a description names a maker: in brackets, or a word in capitals."""
    return "(" in description or any(
        len(w) > 3 and w.isupper() for w in description.replace(",", " ").split()
    )


def _names_head(parts: Sequence[frozenset[str]], said: Iterable[str]) -> bool:
    """Say whether the first part of a description that is more than a kind was said."""
    said = set(said)
    for part in parts[:2]:
        head = part - WORDS["kinds"]
        if head:
            return len(head & said) >= _HEAD_COVERED * len(head)
    return bool(parts[0] & said)
