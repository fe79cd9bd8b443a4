"""Where food was eaten or came from: words that are no food, and the words that say nothing of it at all."""

from collections.abc import Sequence

from bot.foodtable import FoodTable
from bot.understanding.pieces.pieces import Amount, Piece, word_at
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

FILLER = TAGS.filler | TAGS.eating | TAGS.serving | TAGS.article
_LONGEST = 8


def without_place(pieces: Sequence[Piece], table: FoodTable) -> list[Piece]:
    """Leave out where it was eaten or from, and what for: "at the office", "from the bakery", "to mop up"."""
    kept: list[Piece] = []
    i = 0
    while i < len(pieces):
        if kept and word_at(pieces, i) == "to" and _is_purpose(pieces[i + 1 :], table):
            return kept
        end = (
            _place_end(pieces, i, table)
            if kept or word_at(pieces, i) in TAGS.at_place or word_at(pieces, i + 1) in TAGS.doings
            else 0
        )
        if end:
            i = end
            continue
        kept.append(pieces[i])
        i += 1
    return kept


def _is_purpose(behind: Sequence[Piece], table: FoodTable) -> bool:
    words = [piece.text for piece in behind if isinstance(piece, Token)]
    return len(words) == len(behind) and bool(words) and not table.starts(words)


def is_place(pieces: Sequence[Piece], table: FoodTable) -> bool:
    """Tell whether words say nothing but where it was: "in the teachers' lounge"."""
    determined = word_at(pieces, 1) in TAGS.determiners
    return (
        determined
        and word_at(pieces, 0) in ("in", "on", "at")
        and _place_end(pieces, 0, table) == len(pieces)
    )


def _place_end(pieces: Sequence[Piece], i: int, table: FoodTable) -> int:
    """Return where the place that begins at `i` ends, 0 when there is none: a place is no known food."""
    preposition = word_at(pieces, i)
    if preposition in ("pre", "post") and word_at(pieces, i + 1) in TAGS.doings:
        return i + 2
    if preposition not in TAGS.place:
        return 0
    j = i + 1
    named = word_at(pieces, j) in TAGS.determiners or (_is_article(pieces, j) and preposition != "for")
    if named:
        j += 1
    words: list[str] = []
    end = min(len(pieces), j + _LONGEST)
    while j < end and isinstance(pieces[j], Token) and word_at(pieces, j) not in TAGS.place:
        if not named and words and words[-1] in TAGS.doings and table.starts([word_at(pieces, j)]):
            break  # "after work lentil soup"
        words.append(word_at(pieces, j))
        j += 1
    if not words or words[0] in TAGS.filling or (preposition == "in" and words[-1] in TAGS.filling):
        return j if preposition == "in" and words[:1] in (["water"], ["brine"], ["juice"]) else 0
    placed = preposition in ("in", "on") and len(words) == 1 and words[0] in TAGS.place_words  # "in office"
    if not (named or placed) and preposition not in TAGS.bare:
        return 0
    known = table.starts(words) and words[-1] not in TAGS.places
    return 0 if known or words[0] in FILLER else j


def _is_article(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i] if i < len(pieces) else None
    return isinstance(piece, Amount) and piece.article


def is_owner(word: str) -> bool:
    """Tell whether a word only says whose it was: "my friend's cake"."""
    return word.endswith("'s") and word[:-2] in TAGS.people


def without_filler(pieces: Sequence[Piece], table: FoodTable) -> list[Piece]:
    """Leave out the words that say nothing, except within a known name ("corn on the cob")."""
    kept: list[Piece] = []
    within = 0
    for i, piece in enumerate(pieces):
        if not isinstance(piece, Token):
            kept.append(piece)
            continue
        filler = piece.text in FILLER or is_owner(piece.text)
        if not filler and i >= within and word_at(pieces, i + 1) in FILLER | {"on", "and", "of"}:
            words = [word_at(pieces, k) for k in range(i, min(i + 6, len(pieces)))]
            words = words[: words.index("")] if "" in words else words
            within = max(within, i + table.starts(words))
        if not filler or i < within:
            kept.append(piece)
    return kept
