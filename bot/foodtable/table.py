"""Everyday food words -> a row of the composition table, and household measures -> grams."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from rapidfuzz import fuzz, process

from bot.foodtable.composition import Composition, Food, load_composition
from bot.foodtable.everyday import Everyday, Weight, key_names, read_everyday
from bot.foodtable.search import Search
from bot.foodtable.weights import Categories, Household, of_entry
from bot.foodtable.words import MAX_CHARS, MAX_WORDS, WORDS, make_key, split_words

# How sure a match is, by how it was found.
_EXACT, _NEUTRAL, _METHOD, _MISSPELT = 1.0, 0.95, 0.9, 0.85
_SEARCH_LEAST, _SEARCH_SPAN = 0.5, 0.3
_METHOD_IGNORED = 0.7

_MEMO_SIZE = 8192

_LOOSE_WORDS = WORDS["neutral"] | WORDS["method"]

# A misspelling is taken for the everyday word it is this like (Indel similarity, 0 to 100) ...
_LIKE_ENOUGH = 85.0
# ... from this length on; shorter words are too near to too many others.
_LEAST_LETTERS = 5


@dataclass(frozen=True, slots=True)
class Match:
    """What some words turned out to be: a plain name, the food, how sure (0 to 1), what was assumed."""

    name: str
    food: Food
    sure: float
    assumed: str


class FoodTable:
    """Everyday names, the composition table and household weights; pure once it is built."""

    def __init__(self, composition: Composition, entries: Sequence[Everyday]) -> None:
        self._composition = composition
        self._entries = {entry.name: entry for entry in entries}
        self._by_key = key_names(list(entries))
        self._by_letters = {key.replace(" ", ""): entry for key, entry in self._by_key.items()}
        self._longest = max((key.count(" ") + 1 for key in self._by_key), default=0)
        self._categories = Categories()
        self._memo: dict[str, Match | None] = {}

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

    def weigh(self, match: Match, unit: str, size: str = "") -> Weight | None:
        """Return the grams of ONE unit of it; None when that unit makes no sense for this food."""
        return self._household(match).weigh(unit, size)

    def portion(self, match: Match) -> Weight:
        """Return a typical helping, with an honest range, for when no amount was said."""
        return self._household(match).portion

    def starts(self, words: Sequence[str]) -> int:
        """Return how many of the leading words make up the longest everyday name, 0 if none."""
        for count in range(min(len(words), self._longest + 2), 0, -1):
            said = make_key(" ".join(words[:count])).split()
            first = next((i for i, word in enumerate(said) if word not in _LOOSE_WORDS), len(said))
            if any(" ".join(said[i:]) in self._by_key for i in range(first + 1)):
                return count
        return 0

    def names(self) -> Iterable[str]:
        """Return all everyday names, aliases included, as they are written in the table."""
        for entry in self._entries.values():
            yield entry.name
            yield from entry.also

    @cached_property
    def _search(self) -> Search:
        return Search(self._composition.outline())

    @cached_property
    def _vocabulary(self) -> dict[str, str]:
        words = {word for key in self._by_key for word in key.split() if len(word) >= _LEAST_LETTERS}
        return {word: word for word in sorted(words)}

    def _find(self, words: str) -> Match | None:
        said = make_key(words).split()
        if not said or len(said) > MAX_WORDS:
            return None
        plain = " ".join(split_words(words))
        return (
            self._match_everyday(said, plain) or self._match_search(said, plain) or self._match_misspelt(said)
        )

    def _match_everyday(self, said: list[str], plain: str) -> Match | None:
        key = " ".join(said)
        entry = self._by_key.get(key) or self._by_letters.get(key.replace(" ", ""))
        if entry is not None:
            return self._as_match(entry, _EXACT)
        entry = self._everyday(said)
        if entry is None:
            return None
        if not WORDS["method"].isdisjoint(said):
            found = self._search.find(said)
            if found is not None:
                return Match(plain, self._composition[found[0]], _METHOD, "")
        changed = set(said) - WORDS["neutral"] - set(make_key(entry.name).split())
        return self._as_match(entry, _METHOD_IGNORED if changed & WORDS["method"] else _NEUTRAL)

    def _match_search(self, said: list[str], plain: str) -> Match | None:
        found = self._search.find(said)
        if found is None:
            return None
        description, likeness = found
        sure = _SEARCH_LEAST + _SEARCH_SPAN * likeness
        return Match(plain, self._composition[description], round(sure, 2), "")

    def _match_misspelt(self, said: list[str]) -> Match | None:
        corrected = [self._correct(word) for word in said]
        if corrected == said:
            return None
        found = self._match_everyday(corrected, " ".join(corrected))
        if found is None:
            return None
        return Match(found.name, found.food, round(found.sure * _MISSPELT, 2), found.assumed)

    def _correct(self, word: str) -> str:
        if len(word) < _LEAST_LETTERS or word in WORDS["spelt_right"] or word in self._vocabulary:
            return word
        best = process.extractOne(word, self._vocabulary, scorer=fuzz.ratio, score_cutoff=_LIKE_ENOUGH)
        if best is None or best[0][0] != word[0] or _ending(word) != _ending(best[0]):
            return word
        return str(best[0])

    def _everyday(self, said: list[str]) -> Everyday | None:
        """Return the entry of these plain words, words that do not change the food left aside."""
        entry = self._by_key.get(" ".join(said))
        if entry is not None:
            return entry
        for kept in _leave_out(said):
            entry = self._by_key.get(" ".join(kept))
            if entry is not None:
                return entry
        return None

    def _as_match(self, entry: Everyday, sure: float) -> Match:
        return Match(entry.name, self._composition[entry.food], sure, entry.assumed)

    def _household(self, match: Match) -> Household:
        entry = self._entries.get(match.name) or self._everyday(make_key(match.name).split())
        if entry is not None:
            return of_entry(entry)
        return self._categories.of(match.food.category)


def _ending(word: str) -> str:
    """Return the grammatical ending: "smoothly" is no way to spell "smoothie"."""
    return next((end for end in ("ing", "ed", "ly", "er") if word.endswith(end)), "")


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


def load_table(cache_dir: Path | None = None) -> FoodTable:
    """Return the food table, from its cache where there is one (the user's cache folder by default)."""
    return FoodTable(load_composition(cache_dir), read_everyday())
