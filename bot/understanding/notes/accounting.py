"""Where each word of a note went: used by an entry, negated, filler, or left out and so said back.

Words are known by their place in the text, so that "rice" said twice is two words. What nothing speaks for is
left out: a reader has to say what it used.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass, field
from typing import Literal

from bot.foodtable import FoodTable
from bot.understanding.foods.meals import MealDraft
from bot.understanding.foods.places import is_owner, without_place
from bot.understanding.foods.said import Said
from bot.understanding.pieces.pieces import Amount, Clause, Piece, word_at
from bot.understanding.pieces.units import LOOSE_UNITS, UNITS
from bot.understanding.states import activities, feelings, readings, sleep_and_sensor
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import MOVEMENT_WORDS
from bot.understanding.words.plain_words import SAYS_LITTLE, is_plain
from bot.understanding.words.tokens import Token

Fate = Literal["used", "negated", "filler", "left out", "apart"]
"""What became of a word; "apart": known to be planned, or of somebody else, and said back as well."""
FILLERS = TAGS.filler | TAGS.glue
_ABOUT_FOOD = TAGS.eating | TAGS.serving | TAGS.article
_DESCRIBES = TAGS.describing
_CUES = MOVEMENT_WORDS | activities.CUES | feelings.CUES | readings.CUES | sleep_and_sensor.CUES
_MOST_WORDS_OF_PLACE = 4


@dataclass(slots=True)
class Ledger:
    """The content words of a note in order, and the fate of each of them so far."""

    words: list[Token]
    fates: list[Fate] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.fates = ["left out"] * len(self.words)
        self.starts = [word.start for word in self.words]

    def mark(self, pieces: Iterable[Piece | Said], fate: Fate = "used") -> None:
        """Give the words that stand within each of the pieces a fate."""
        for piece in pieces:
            for k in self._within(piece.start, piece.end):
                self.fates[k] = fate

    def mark_beside(self, pieces: Sequence[Piece], kept: Iterable[Piece]) -> None:
        """Mark as used what stands in `pieces` and not in `kept`: it was understood on the way."""
        spans = [(p.start, p.end) for p in kept if p.end > p.start]
        covered = {k for start, end in spans for k in self._within(start, end)}
        for piece in pieces:
            for k in self._within(piece.start, piece.end):
                if k not in covered:
                    self.fates[k] = "used"

    def tell(self, clause: Clause, table: FoodTable, fate: Fate = "used", what: str = "") -> None:
        """Give what an entry of another kind than food was told with its fate.

        Times, numbers, its own words, everyday words and places are part of what was told; the name of a food
        or a word that nobody knows is not.
        """
        told = {id(p) for p in clause.pieces if not isinstance(p, Token) or _tells(p, table)}
        told |= {id(p) for p in clause.pieces if isinstance(p, Token) and p.text in what.split()}
        told |= _place_words(clause.pieces, table) | _object_words(clause.pieces, table)
        self.mark((p for p in clause.pieces if id(p) in told), fate)

    def eat(self, meal: MealDraft, table: FoodTable) -> None:
        """Mark what a meal's foods, times and words for eating were said with."""
        for part in meal.parts:
            pieces = part.clause.pieces
            for piece in pieces:
                if isinstance(piece, Token) and (piece.text in _ABOUT_FOOD or is_owner(piece.text)):
                    self.mark([piece])
            if part.foods:
                self.mark_beside(pieces, without_place(pieces, table))
        foods = meal.foods
        named: dict[tuple[int, int], set[str]] = {}
        for food in foods:
            named.setdefault((food.start, food.end), set()).update(" ".join(food.words).split())
        for (start, end), words in named.items():
            self._eat_food(start, end, words)
        spans = list(named)
        for part in meal.parts:
            amounts = [p for p in part.clause.pieces if isinstance(p, Amount)]
            self.mark(p for p in amounts if any(start <= p.start < end for start, end in spans))
        self.mark(meal.marks)

    def _eat_food(self, start: int, end: int, named: Set[str]) -> None:
        """Mark the words between two places that name the foods said there, or describe them."""
        for k in self._within(start, end):
            word = self.words[k]
            describes = word.text in _DESCRIBES or word.text in SAYS_LITTLE or word.text in _UNITS
            if word.kind != "word" or word.text in named or describes:
                self.fates[k] = "used"

    def _within(self, start: int, end: int) -> range:
        first = bisect_left(self.starts, start)
        return range(first, bisect_left(self.starts, max(end, start), first))

    def settle(self) -> None:
        """Let the fillers that nothing used be fillers."""
        for k, (word, fate) in enumerate(zip(self.words, self.fates, strict=True)):
            if fate in ("left out", "apart") and word.text in FILLERS:
                self.fates[k] = "filler"

    def left_out(self, text: str, clauses: Sequence[Clause]) -> tuple[str, ...]:
        """Return what is said back: words of one clause that stand together are one phrase."""
        ends = sorted(clause.pieces[-1].end for clause in clauses if clause.pieces)
        phrases: list[tuple[int, int]] = []
        open_until = -1
        for word, fate in zip(self.words, self.fates, strict=True):
            if fate not in ("left out", "apart"):
                open_until = open_until if fate == "filler" else -1
                continue
            if word.start < open_until:
                phrases[-1] = (phrases[-1][0], word.end)
            else:
                phrases.append((word.start, word.end))
                k = bisect_left(ends, word.end)
                open_until = ends[k] if k < len(ends) else len(text)
        return tuple(" ".join(text[start:end].split()) for start, end in phrases)


_UNITS = UNITS.keys() | LOOSE_UNITS.keys()


def _tells(token: Token, table: FoodTable) -> bool:
    if token.kind != "word" or token.text in _CUES:
        return True
    return is_plain(token.text) and table.match(token.text) is None


def _object_words(pieces: Sequence[Piece], table: FoodTable) -> set[int]:
    """Return the word for what was moved or walked ("mowed the lawn", "ran the bridge"), by identity."""
    found: set[int] = set()
    for i, piece in enumerate(pieces):
        if isinstance(piece, Token) and piece.text in MOVEMENT_WORDS:
            j = i + 1 + (word_at(pieces, i + 1) in TAGS.the)
            word = pieces[j] if j < len(pieces) else None
            if isinstance(word, Token) and not table.has_word(word.text):
                found.add(id(word))
    return found


def _place_words(pieces: Sequence[Piece], table: FoodTable) -> set[int]:
    """Return the words of "round the reservoir" and "after that bagel", by identity: where, and when."""
    found: set[int] = set()
    for i, piece in enumerate(pieces):
        if not isinstance(piece, Token) or piece.text not in TAGS.to_place | TAGS.sides_accounting:
            continue
        j = i + 1
        named = word_at(pieces, j) in TAGS.the or _is_article(pieces, j)
        j += named
        words = [p for p in pieces[j : j + _MOST_WORDS_OF_PLACE] if isinstance(p, Token)]
        names_food = table.starts([w.text for w in words]) > 0 if words else False
        if piece.text in TAGS.sides_accounting and not named:
            continue
        if names_food and piece.text not in TAGS.sides_accounting:
            continue
        found |= {id(piece), *map(id, words)}
    return found


def _is_article(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i] if i < len(pieces) else None
    return isinstance(piece, Amount) and piece.article
