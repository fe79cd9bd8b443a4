"""Everyday food words -> a row of the composition table, and household measures -> grams."""

import gc
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path

from bot.foodtable.composition import Composition, Food, load_composition
from bot.foodtable.everyday import Everyday, Named, Weight, key_names, read_everyday
from bot.foodtable.naming import name_back, still_assumed
from bot.foodtable.search import Search
from bot.foodtable.spelling import Spelling
from bot.foodtable.weights import Categories, Household, of_entry, of_surveyed
from bot.foodtable.words import (
    FIRST_OF_PHRASES,
    MAX_CHARS,
    MAX_WORDS,
    WORDS,
    join_phrases,
    key_words,
    make_key,
    plain_word,
    split_words,
)

# How sure a match is, by how it was found.
_EXACT, _NEUTRAL, _METHOD, _MISSPELT = 1.0, 0.95, 0.9, 0.85
_SEARCH_LEAST, _SEARCH_SPAN = 0.5, 0.3
_METHOD_IGNORED = 0.7
_NEAR = 0.4
# A row stands for a way of cooking only where it says little else (likeness, 0 to 1).
_LIKE_A_METHOD = 0.6

_MEMO_SIZE = 8192

_LOOSE_WORDS = WORDS["neutral"] | WORDS["method"]


TORN = frozenset({"in", "a", "la", "aux", "tres", "added", "alcohol", "half", "sunday", "deal"})
"""Words that notes read otherwise (a place, an article, a number): a name with one is read as one word."""


@dataclass(frozen=True, slots=True)
class Match:
    """What some words turned out to be: a plain name, the food, how sure (0 to 1), what was assumed.

    entry: the everyday food behind it, "" where only the composition table knows it
    """

    name: str
    food: Food
    sure: float
    assumed: str
    entry: str = ""


class FoodTable:
    """Everyday names, the composition table and household weights; pure once it is built."""

    def __init__(self, composition: Composition, entries: Sequence[Everyday]) -> None:
        self._composition = composition
        self._entries = {entry.name: entry for entry in entries}
        self._by_key = key_names(list(entries))
        self._by_letters = {key.replace(" ", ""): entry for key, entry in self._by_key.items()}
        self._longest = max((key.count(" ") + 1 for key in self._by_key), default=0)
        self._parts_of_keys = frozenset(part for key in self._by_key for part in _beginnings_of(key))
        self._words = frozenset(word for key in self._by_key for word in key.split())
        self._beginnings = frozenset(key.partition(" ")[0] for key in self._by_key)
        self._whole = _read_as_one(self.names())
        self._categories = Categories()
        self._memo: dict[str, Match | None] = {}
        self._starts: dict[tuple[str, ...], int] = {}
        self._households: dict[tuple[bool, str], Household] = {}

    def match(self, words: str) -> Match | None:
        """Return what the whole phrase means, or None when it is no food known here."""
        if len(words) > MAX_CHARS:
            return None
        # Several threads may ask at once, and one of them may clear: never look up what was only just there.
        try:
            return self._memo[words]
        except KeyError:
            found = self._find(words)
        if len(self._memo) >= _MEMO_SIZE:
            self._memo.clear()
        self._memo[words] = found
        return found

    def near(self, words: str, most: int) -> tuple[Match, ...]:
        """Return foods of the composition table that are near what was said, though not all of it."""
        if len(words) > MAX_CHARS:
            return ()
        found = self._search.near(make_key(words).split(), most)
        return tuple(Match(d, self._composition[d], _NEAR, "") for d in found)

    def weigh(self, match: Match, unit: str, size: str = "") -> Weight | None:
        """Return the grams of ONE unit of it; None when that unit makes no sense for this food."""
        return self._household(match).weigh(unit, size)

    def portion(self, match: Match) -> Weight:
        """Return a typical helping, with an honest range, for when no amount was said."""
        return self._household(match).portion

    def starts(self, words: Sequence[str]) -> int:
        """Return how many of the leading words make up the longest everyday name, 0 if none."""
        leading = tuple(words[: self._longest + 2])
        found = self._starts.get(leading)
        if found is None:
            found = self._find_start(leading)
            if len(self._starts) >= _MEMO_SIZE:
                self._starts.clear()
            self._starts[leading] = found
        return found

    def _find_start(self, leading: Sequence[str]) -> int:
        said: list[str] = []
        best = 0
        for count, word in enumerate(leading, start=1):
            said += key_words(word)
            first = next((i for i, w in enumerate(said) if w not in _LOOSE_WORDS), len(said) - 1)
            goes_on = first == len(said) - 1 or said[-1] in FIRST_OF_PHRASES
            for i in range(first + 1):
                if said[i] in self._beginnings:
                    key = " ".join(join_phrases(said[i:]))
                    best = count if key in self._by_key else best
                    goes_on = goes_on or key in self._parts_of_keys
            if not goes_on:
                break
        return best

    def whole_name(self, words: Sequence[str], i: int) -> int:
        """Return how many of the words from `i` on are a name read as one ("toad in the hole"), 0 if none."""
        names = self._whole.get(plain_word(words[i]), ())
        plain = [plain_word(word) for word in words[i : i + MAX_WORDS]] if names else []
        return next((len(name) for name in names if plain[: len(name)] == name), 0)

    def has_word(self, word: str) -> bool:
        """Tell whether a word stands in some everyday name."""
        return word in self._words or plain_word(word) in self._words

    def respell(self, words: str) -> str:
        """Return the words with those that are misspelt names of foods spelt right."""
        return " ".join(self._spelling.correct(word) for word in words.split())

    def prepare(self) -> None:
        """Build what is looked up in, so that the first unknown word does not have to wait for it."""
        self._search.find(())
        self._spelling.correct("")

    def names(self) -> Iterable[str]:
        """Return all everyday names, aliases included, as they are written in the table."""
        for entry in self._entries.values():
            yield entry.name
            yield from entry.also

    def describes(self, description: str) -> bool:
        """Tell whether a description is one of the composition table."""
        return description in self._composition

    @cached_property
    def _search(self) -> Search:
        return Search(self._composition.outline())

    @cached_property
    def _spelling(self) -> Spelling:
        return Spelling(word for key in self._by_key for word in key.split())

    def _find(self, words: str) -> Match | None:
        said = make_key(words).split()
        if not said or len(said) > MAX_WORDS:
            return None
        plain = split_words(words)
        return (
            self._match_everyday(said, plain) or self._match_search(said, plain) or self._match_misspelt(said)
        )

    def _match_everyday(self, said: list[str], plain: Sequence[str]) -> Match | None:
        key = " ".join(said)
        named = self._by_key.get(key)
        if named is None and WORDS["empty"].isdisjoint(said):  # "jam on" is no jamon
            named = self._by_letters.get(key.replace(" ", ""))
        if named is not None:
            return self._as_match(named, said, plain, _EXACT)
        named = self._everyday(said)
        if named is None:
            return None
        changed = set(said) - WORDS["neutral"] - set(make_key(named.name).split())
        if not WORDS["method"].isdisjoint(said):
            found = self._search.find(said)
            if found is not None and found[1] >= _LIKE_A_METHOD:
                return Match(" ".join(plain), self._composition[found[0]], _METHOD, "", named.entry.name)
        return self._as_match(named, said, plain, _METHOD_IGNORED if changed & WORDS["method"] else _NEUTRAL)

    def _match_search(self, said: list[str], plain: Sequence[str]) -> Match | None:
        found = self._search.find(said)
        if found is None:
            return None
        description, likeness = found
        sure = _SEARCH_LEAST + _SEARCH_SPAN * likeness
        return Match(" ".join(plain), self._composition[description], round(sure, 2), "")

    def _match_misspelt(self, said: list[str]) -> Match | None:
        corrected = [self._spelling.correct(word) for word in said]
        if corrected == said:
            return None
        found = self._match_everyday(corrected, corrected)
        if found is None:
            return None
        return replace(found, sure=round(found.sure * _MISSPELT, 2))

    def _everyday(self, said: list[str]) -> Named | None:
        """Return the entry of these plain words, words that do not change the food left aside."""
        named = self._by_key.get(" ".join(said))
        if named is not None:
            return named
        for kept in _leave_out(said):
            named = self._by_key.get(" ".join(kept))
            if named is not None:
                return named
        return None

    def _as_match(self, named: Named, said: list[str], plain: Sequence[str], sure: float) -> Match:
        entry = named.entry
        told = {*said, *make_key(named.name).split()}
        name = name_back(named.name, plain)
        return Match(
            name, self._composition[entry.food], sure, still_assumed(entry.assumed, told), entry.name
        )

    def _household(self, match: Match) -> Household:
        entry = self._entries.get(match.entry) or self._entries.get(match.name)
        key = match.food.description if entry is None else entry.name
        household = self._households.get((entry is None, key))
        if household is None:
            category = self._categories.of(match.food.category)
            household = of_surveyed(key, category) if entry is None else of_entry(entry)
            self._households[entry is None, key] = household
        return household


def _beginnings_of(key: str) -> Iterator[str]:
    """Yield a key's first word, its first two, and so on."""
    words = key.split()
    return (" ".join(words[:count]) for count in range(1, len(words) + 1))


def _leave_out(said: list[str]) -> Iterator[list[str]]:
    """Yield the words without their modifiers, fewest left out first."""
    for start in range(len(said)):
        if start and said[start - 1] not in _LOOSE_WORDS:
            break
        for end in range(len(said), start, -1):
            if end < len(said) and said[end] not in _LOOSE_WORDS:
                break
            if start or end < len(said):
                yield said[start:end]
    kept = [word for word in said if word not in _LOOSE_WORDS]
    if kept:
        yield kept


def _read_as_one(names: Iterable[str]) -> dict[str, list[list[str]]]:
    """Return the names that hold a word of `TORN`, by their first word, the longest first."""
    found: dict[str, list[list[str]]] = {}
    for name in names:
        said = name.lower().split()
        torn = TORN.intersection(said)
        if (
            torn
            and said[0] not in torn - {"half", "sunday", "tres"}
            and ("half" not in torn or "and" in said)
        ):
            found.setdefault(plain_word(said[0]), []).append([plain_word(word) for word in said])
    return {first: sorted(each, key=len, reverse=True) for first, each in found.items()}


@lru_cache(maxsize=1)
def load_table(cache_dir: Path | None = None) -> FoodTable:
    """Return the food table, from its cache where there is one (the user's cache folder by default).

    It is the same for every bot of a process: nothing of a person is in it.
    """
    table = FoodTable(load_composition(cache_dir), read_everyday())
    table.prepare()
    gc.freeze()  # it stays for good: a collection that looked through it would hold a reply up by 35 ms
    return table
