"""What a note says of plates by their food: "coffee after the pasta", "the soup never got noted: ..."."""

import re
from collections.abc import Sequence
from datetime import timedelta

from bot.foodtable.words import plain_word
from bot.model.entries import Meal
from bot.understanding.context import Context
from bot.understanding.pieces.pieces import Moment, Piece, SlotWord, word_at
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

STILL_NAMED, STILL_WITH = timedelta(hours=3), timedelta(hours=18)
"""So long a plate is what "the pasta" means, and what "with the pasta" does."""
_BESIDE = TAGS.sides_plates | {"with", "alongside"}
_MOST_WORDS = 4
_MOST_HEAD = 12
_MISSING = re.compile(
    r"\b(?:missing|missed|forgot|forgotten|omitted|unlogged)\b"
    r"|\b(?:never|not|wasn't|wasnt|weren't|didn't|didnt)(?: [a-z]+)? "
    r"(?:noted?|logg?e?d?|record(?:ed)?|enter(?:ed)?|mention(?:ed)?|writt?en?|wrote)\b"
)


def fold_known(pieces: Sequence[Piece], context: Context) -> list[Piece]:
    """Return the pieces with plates of the last hours as times, or left out behind "with".

    A food that is on such a plate is no second serving where another one is said to come after it, before it
    or with it.
    """
    pieces = _without_head(pieces)
    beside = {word_at(pieces, i) for i in range(len(pieces))} & _BESIDE
    since = STILL_NAMED if beside & TAGS.sides_plates else STILL_WITH
    plates = _plates(context, since) if beside else ()
    folded: list[Piece] = []
    i = 0
    while i < len(pieces):
        slot, end = _plate_at(pieces, i, plates, context)
        if not slot:
            folded.append(pieces[i])
            end = i + 1
        elif word_at(pieces, i) in TAGS.sides_plates:
            side = word_at(pieces, i)
            folded.append(Moment(pieces[i].start, pieces[end - 1].end, side=side, side_slot=slot))
        i = end
    return folded


def _without_head(pieces: Sequence[Piece]) -> Sequence[Piece]:
    """Leave of "last night's soup never got noted:" only when and which meal it was."""
    colon = next((i for i in range(min(len(pieces), _MOST_HEAD)) if word_at(pieces, i) == ":"), 0)
    said = " ".join(word_at(pieces, i) for i in range(colon))
    if not colon or not _MISSING.search(said):
        return pieces
    kept = [p for p in pieces[:colon] if isinstance(p, Moment | SlotWord)]
    return [*kept, *pieces[colon + (not kept) :]]


def _plates(context: Context, since: timedelta) -> tuple[tuple[str, frozenset[str]], ...]:
    """Return the foods of the last hours: of which meal, and the words that each is called by."""
    recent = [n.entry for n in context.noted if isinstance(n.entry, Meal) and n.entry.at is not None]
    return tuple(
        (meal.slot, frozenset(plain_word(w) for w in f"{item.name} {item.said}".lower().split()))
        for meal in reversed(recent)
        if meal.at is not None and timedelta(0) <= context.now - meal.at <= since
        for item in meal.items
    )


def _plate_at(
    pieces: Sequence[Piece], i: int, plates: Sequence[tuple[str, frozenset[str]]], context: Context
) -> tuple[str, int]:
    """Return the meal that "after the pasta" at `i` names by its food, and where it ends; "" for none."""
    beside = word_at(pieces, i)
    j = i + 1 + (word_at(pieces, i + 1) in TAGS.the_plates)
    if not plates or beside not in _BESIDE or (beside not in TAGS.sides_plates and (j == i + 1 or not i)):
        return "", i
    words = []
    for piece in pieces[j : j + _MOST_WORDS]:
        if not isinstance(piece, Token) or piece.kind != "word":
            break
        words.append(piece.text)
    named = max(context.table.starts(words), 1) if words else 0
    called = {plain_word(word) for word in words[:named]}
    slot = next((slot for slot, names in plates if called and called <= names), "")
    return slot, j + named
