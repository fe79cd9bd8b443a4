"""Misspelt food words -> the everyday word that was meant."""

from collections.abc import Iterable, Sequence
from functools import lru_cache

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

from bot.foodtable.words import WORDS

# A misspelling is taken for the everyday word it is this like (Indel similarity, 0 to 100) ...
_LIKE_ENOUGH = 85.0
# ... from this length on; shorter words are too near to too many others.
_LEAST_LETTERS = 5
# Words of four letters may only lack one letter of a staple ("tost").
_SHORT = 4


class Spelling:
    """The words of all everyday names, by their first letter: people seldom get that one wrong."""

    def __init__(self, words: Iterable[str]) -> None:
        self._known = frozenset(word for word in words if len(word) >= _SHORT)
        self._by_length: dict[tuple[str, int], list[str]] = {}
        for word in sorted(self._known):
            if len(word) >= _LEAST_LETTERS:
                self._by_length.setdefault((word[0], len(word)), []).append(word)
        self._alike: dict[tuple[str, int], list[str]] = {}
        self.correct = lru_cache(maxsize=4096)(self._correct)

    def _correct(self, word: str) -> str:
        if len(word) < _SHORT or not word.isalpha() or word in WORDS["spelt_right"] or word in self._known:
            return word
        near = self._of_like_length(word[0], len(word))
        if len(word) == _SHORT:
            return next((w for w in near if w in WORDS["staple"] and _lacks_one(word, w)), word)
        best = process.extractOne(word, near, scorer=fuzz.ratio, score_cutoff=_LIKE_ENOUGH)
        if best is None and len(word) > _LEAST_LETTERS:
            swapped = self._by_length.get((word[0], len(word)), [])
            best = process.extractOne(
                word, swapped, scorer=OSA.normalized_similarity, score_cutoff=1 - 1 / len(word)
            )
        if best is None or _ending(word) != _ending(best[0]):
            return word
        return str(best[0])

    def _of_like_length(self, letter: str, length: int) -> list[str]:
        """Return the words whose length alone does not make them too unlike one of that length."""
        if (letter, length) not in self._alike:
            likeness = _LIKE_ENOUGH / 100.0
            least, most = length * likeness / (2 - likeness), length * (2 - likeness) / likeness
            lengths = (n for n in range(_LEAST_LETTERS, int(most) + 1) if n >= least)
            words = (word for n in lengths for word in self._by_length.get((letter, n), ()))
            self._alike[letter, length] = sorted(words)
        return self._alike[letter, length]


def find_near(word: str, among: Sequence[str], most: int) -> str | None:
    """Return the one of some words that is at most so many slips away (letters swapped count as one)."""
    best = process.extractOne(word, among, scorer=OSA.distance, score_cutoff=most)
    return None if best is None else str(best[0])


def _lacks_one(short: str, full: str) -> bool:
    return any(full[:i] + full[i + 1 :] == short for i in range(1, len(full)))


def _ending(word: str) -> str:
    """Return the grammatical ending: "smoothly" is no way to spell "smoothie"."""
    return next((end for end in ("ing", "ed", "ly", "er") if word.endswith(end)), "")
