"""The food table as one person speaks: their own words before the general ones, also within a list."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from bot.foodtable import FoodTable, Match
from bot.foodtable.composition import Food
from bot.foodtable.everyday import Weight
from bot.foodtable.words import WORDS, key_words, make_key, plain_word
from bot.model.entries import Item, Meal, Nutrients, Slot
from bot.understanding.personal import Own
from bot.understanding.pieces.pieces import Piece, SlotWord
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

MARK = " (your own)"
_MY = "my "
_SPREAD = 0.05
_MOST_TOKENS = 10
_AROUND = 3  # a name may be said with "my" or another such word more


class OwnTable(FoodTable):
    """The general table with a person's own words before it; it shares everything else with that table.

    slots: the names that say which meal it is as well ("early-shift breakfast", "the usual"), and which
    """

    def __init__(self, general: FoodTable, words: Mapping[str, Own], slots: Mapping[str, Slot]) -> None:
        vars(self).update(vars(general))
        self._general = general
        self._own = {_key(name): (name, own) for name, own in words.items()}
        self._first = {key.partition(" ")[0] for key in self._own}
        self._most = min(_MOST_TOKENS, max((key.count(" ") for key in self._own), default=0) + _AROUND)
        self._plates: dict[str, Match] = {}
        self._slots = {_key(name): slot for name, slot in slots.items()}
        self._words = self._words | {word for key in self._own for word in key.split()}

    def match(self, words: str) -> Match | None:
        """Return what the whole phrase means, the person's own meaning first."""
        found = self._find_own(_key(words))
        if found is None:
            return self._general.match(words)
        name, own = found
        if name not in self._plates:  # what is on a plate is added up once, however often it is named
            total = weigh_plate(own.meal)
            held = Nutrients() if own.meal.items == () else own.meal.nutrients.scaled(100 / total)
            self._plates[name] = Match(name, Food(name + MARK, "", held), 1.0, "")
        return self._plates[name]

    def weigh(self, match: Match, unit: str, size: str = "") -> Weight | None:
        """Return the grams of one of it, whatever it is counted in; a volume of it is not known."""
        own = self.own_of(match.food.description)
        if own is None:
            return self._general.weigh(match, unit, size)
        return None if unit in TAGS.volume_units else _weight(own.meal)

    def portion(self, match: Match) -> Weight:
        """Return what one of it weighs."""
        own = self.own_of(match.food.description)
        return self._general.portion(match) if own is None else _weight(own.meal)

    def starts(self, words: Sequence[str]) -> int:
        """Return how many of the leading words make up the longest name."""
        return self.length_of_own(words) or self._general.starts(words)

    def names(self) -> Iterable[str]:
        """Return all names, the person's own first."""
        yield from (name for name, _ in self._own.values())
        yield from self._general.names()

    def length_of_own(self, words: Sequence[str]) -> int:
        """Return how many of the leading words make up the longest name of the person's own, 0 if none."""
        first = next(iter(key_words(words[0].removeprefix(_MY))), "") if words else ""
        if first not in self._first:
            return 0
        most = min(len(words), self._most)
        return next((n for n in range(most, 0, -1) if _key(" ".join(words[:n])) in self._own), 0)

    def own_of(self, description: str | None) -> Own | None:
        """Return what an item's food stands for when it is one of the person's own."""
        if description is None or not description.endswith(MARK):
            return None
        found = self._own.get(_key(description.removesuffix(MARK)))
        return None if found is None else found[1]

    def slot_said(self, words: Sequence[str]) -> Slot | None:
        """Return which meal a name of the person's own says it is."""
        return self._slots.get(_key(" ".join(words)))

    def _find_own(self, key: str) -> tuple[str, Own] | None:
        words = key.split()
        while words:
            found = self._own.get(" ".join(words))
            if found is not None or words[0] not in WORDS["neutral"]:
                return found
            words.pop(0)
        return None


@lru_cache(maxsize=4096)
def _key(words: str) -> str:
    return make_key(words).removeprefix(_MY)


def weigh_plate(meal: Meal) -> float:
    """Return the grams of all that is on a plate; where nothing of it has a weight, 100 stand for it."""
    return sum(item.grams for item in meal.items) or 100.0


def _weight(meal: Meal) -> Weight:
    grams = weigh_plate(meal)
    return Weight(grams, grams * (1 - _SPREAD), grams * (1 + _SPREAD), "own")


def fold_names(tokens: Sequence[Token], table: FoodTable) -> list[Piece]:
    """Make one word of each name that would not be read as one, before anything else in it is read.

    These are the person's own, and names of the table that hold another word of notes ("toad in the hole"). A
    name that says which meal it is brings that along, unless the text names one itself.
    """
    tokens = list(_fold_whole(tokens, table))
    if not isinstance(table, OwnTable):
        return list(tokens)
    folded: list[Piece] = []
    named = False
    i = 0
    while i < len(tokens):
        n = _length_of_own(tokens, i, table)
        if not n:
            named = named or tokens[i].text in SLOT_WORDS
            folded.append(tokens[i])
            i += 1
            continue
        words = [token.text for token in tokens[i : i + n]]
        end = tokens[i + n - 1].end
        # With "my" before it no name is taken for a filler or a meal's name by itself ("again").
        folded.append(Token("word", _MY + " ".join(words), tokens[i].start, end))
        slot = table.slot_said(words)
        if slot is not None:
            folded.append(SlotWord(end, end, slot))
        i += n
    return [p for p in folded if isinstance(p, Token)] if named else folded


def _fold_whole(tokens: Sequence[Token], table: FoodTable) -> Iterator[Token]:
    words, i = [token.text for token in tokens], 0
    while i < len(tokens):
        n = table.whole_name(words, i)
        if n > 1:
            name = " ".join(words[i : i + n])
            yield Token("word", name, tokens[i].start, tokens[i + n - 1].end)
        else:
            yield tokens[i]
        i += max(n, 1)


def _length_of_own(tokens: Sequence[Token], i: int, table: OwnTable) -> int:
    last = min(len(tokens), i + _MOST_TOKENS)
    stop = next((k for k in range(i, last) if tokens[k].kind == "mark" and tokens[k].text != "&"), last)
    words = [token.text for token in tokens[i:stop]]
    return table.length_of_own(words)


def expand(item: Item, table: FoodTable) -> tuple[Item, ...]:
    """Return what is on the plate that an item stands for; any other item as it is."""
    own = table.own_of(item.food) if isinstance(table, OwnTable) else None
    if own is None or own.kind == "food":
        return (item,)
    factor = item.grams / weigh_plate(own.meal)
    # Half of a plate says nothing of the portions that somebody takes.
    parts = (part if factor == 1 else replace(scale(part, factor), stated=False) for part in own.meal.items)
    return tuple(replace(part, said=item.said) for part in parts)


def leave_out(item: Item, words: Sequence[str], table: FoodTable) -> tuple[Item, ...]:
    """Return a plate without what was said to be missing ("without jam"), and any other item as it is."""
    gone = {plain_word(word) for word in words}
    own = table.own_of(item.food) if gone and isinstance(table, OwnTable) else None
    if own is None or own.meal.extras:
        return (item,)
    parts = expand(item, table)
    named = [[plain_word(word) for word in part.name.split()] for part in parts]
    whole = [set(name) <= gone for name in named]
    dropped = whole if any(whole) else [name[-1] in gone for name in named]
    kept = tuple(part for part, drop in zip(parts, dropped, strict=True) if not drop)
    return kept if kept and any(dropped) else (item,)


def scale(item: Item, factor: float) -> Item:
    """Return an item in another amount; what was assumed of the old one goes."""
    return replace(
        item,
        grams=round(item.grams * factor, 2),
        grams_low=round(item.grams_low * factor, 2),
        grams_high=round(item.grams_high * factor, 2),
        nutrients=None if item.nutrients is None else item.nutrients.scaled(factor).rounded(),
        assumed="",
    )
