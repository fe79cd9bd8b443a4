"""Misspelt food words -> the everyday word that was meant, by a noisy channel.

What was typed is a slip of some word of the everyday names: how likely a slip is, and how many names hold the
word, are weighed against each other. A word that is spelt right is never taken for another.
"""

import gzip
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from importlib.resources import files
from math import log

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.foodtable.words import WORDS, plain_word

_LEAST_LETTERS, _TWO_SLIPS_FROM = 4, 8
"""Shorter words are too near to too many others; only long ones may have two slips."""
_OUT, _IN, _SWAPPED, _OTHER, _NEAR_KEY = 1.0, 1.2, 1.5, 3.6, 1.8
"""What a slip costs: a letter left out, put in, two swapped, another one, one beside it on the keyboard.

In natural logs, after the shares of Pollock and Zamora (1984), from memory: 34, 27, 13 and 19 of 93; a wrong
letter is mostly a neighbour.
"""
_PER_SLIP = 3.0
_KEYS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")


class Spelling:
    """The words of all everyday names, by their first letter: people seldom get that one wrong."""

    def __init__(self, words: Iterable[str]) -> None:
        self._known = Counter(words)
        self._by_length: dict[tuple[str, int], list[str]] = {}
        for word in sorted(self._known):
            if len(word) >= _LEAST_LETTERS:
                self._by_length.setdefault((word[0], len(word)), []).append(word)
        self.correct = lru_cache(maxsize=4096)(self._correct)

    def _correct(self, word: str) -> str:
        plain = plain_word(word)
        known = word in self._known or plain in self._known or is_english(plain)
        if known or len(word) < _LEAST_LETTERS or not word.isalpha():
            return word
        most = 2 if len(word) >= _TWO_SLIPS_FROM else 1
        near = [
            (self._cost(word, meant, int(slips)), meant)
            for length in range(len(word) - most, len(word) + most + 1)
            for meant, slips, _ in process.extract(
                word,
                self._by_length.get((word[0], length), ()),
                scorer=OSA.distance,
                score_cutoff=most,
                limit=None,
            )
        ]
        return min(near)[1] if near and _ending(word) == _ending(min(near)[1]) else word

    def _cost(self, typed: str, meant: str, slips: int) -> float:
        """Return what it costs to believe that one word was typed for another."""
        slip = _cost_of_slip(typed, meant) if slips == 1 else 0.0
        return _PER_SLIP * slips + slip - log(self._known[meant])


@cache
def _english() -> frozenset[str]:
    packed = (files(__package__) / "english.txt.gz").read_bytes()
    return frozenset(gzip.decompress(packed).decode().split("\n")) | WORDS["spelt_right"]


def is_english(word: str) -> bool:
    """Tell whether a word, in its plain form, is one of everyday English."""
    return word in _english()


def find_near(word: str, among: Sequence[str], most: int) -> str | None:
    """Return the one of some words that is at most so many slips away (letters swapped count as one)."""
    best = process.extractOne(word, among, scorer=OSA.distance, score_cutoff=most)
    return None if best is None else str(best[0])


def _cost_of_slip(typed: str, meant: str) -> float:
    """Return what one slip costs."""
    if len(typed) != len(meant):
        return _OUT if len(typed) < len(meant) else _IN
    wrong = [(a, b) for a, b in zip(typed, meant, strict=True) if a != b]
    if len(wrong) == 2:
        return _SWAPPED
    return _NEAR_KEY if wrong[0][1] in _beside().get(wrong[0][0], "") else _OTHER


@cache
def _beside() -> dict[str, str]:
    """Return the keys beside each one."""
    place = {key: (r, c + r / 2) for r, row in enumerate(_KEYS) for c, key in enumerate(row)}
    return {
        key: "".join(k for k, (y, x) in place.items() if k != key and abs(y - r) <= 1 and abs(x - c) <= 1)
        for key, (r, c) in place.items()
    }


def _ending(word: str) -> str:
    """Return the grammatical ending: "smoothly" is no way to spell "smoothie"."""
    return next((end for end in ("ing", "ed", "ly", "er") if word.endswith(end)), "")
