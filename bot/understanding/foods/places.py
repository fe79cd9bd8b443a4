"""Where food was eaten or came from: words that are no food, and the words that say nothing of it at all."""

from collections.abc import Sequence

from bot.foodtable import FoodTable
from bot.understanding.pieces.pieces import Amount, Piece, word_at
from bot.understanding.words.lexicon import tagged
from bot.understanding.words.plain_words import PLACE_WORDS
from bot.understanding.words.tokens import Token
from bot.understanding.words.wordlists import word_set

FILLER = tagged("filler", "eating", "serving", "article")
_PLACES = word_set(
    "place shop bar stall restaurant house truck counter market cafe café pub canteen diner bakery stand "
    "break joint room kitchen van station store hall garden table desk chippy chipper takeaway bakers "
    "deli servo tuckshop bodega bistro trattoria pizzeria imbiss kiosk cafeteria buffet"
)
_PLACE = word_set("at off in on from near outside inside by after before during for")
_DOINGS = word_set(
    "lift lifting workout gym run training ride swim match session shift work class practice exercise cardio "
    "game bed sleep meeting school"
)
_LONGEST = 8
_BARE = frozenset({"at", "from", "near", "outside", "before", "after", "during"})
_AT_PLACE = frozenset({"at", "near", "outside", "by"})
_DETERMINERS = frozenset({"the", "my", "our", "their", "his", "her", "this", "that"})
_FILLING = frozenset({"milk", "water", "oil", "brine", "juice", "sauce", "syrup", "butter", "gravy", "bun"})


def without_place(pieces: Sequence[Piece], table: FoodTable) -> list[Piece]:
    """Leave out where it was eaten or from: "at the office", "in the canteen", "from the bakery"."""
    kept: list[Piece] = []
    i = 0
    while i < len(pieces):
        end = _place_end(pieces, i, table) if kept or word_at(pieces, i) in _AT_PLACE | {"pre", "post"} else 0
        if end:
            i = end
            continue
        kept.append(pieces[i])
        i += 1
    return kept


def is_place(pieces: Sequence[Piece], table: FoodTable) -> bool:
    """Tell whether words say nothing but where it was: "in the teachers' lounge"."""
    determined = word_at(pieces, 1) in _DETERMINERS
    return (
        determined
        and word_at(pieces, 0) in ("in", "on", "at")
        and _place_end(pieces, 0, table) == len(pieces)
    )


def _place_end(pieces: Sequence[Piece], i: int, table: FoodTable) -> int:
    """Return where the place that begins at `i` ends, 0 when there is none: a place is no known food."""
    preposition = word_at(pieces, i)
    if preposition in ("pre", "post") and word_at(pieces, i + 1) in _DOINGS:
        return i + 2
    if preposition not in _PLACE:
        return 0
    j = i + 1
    named = word_at(pieces, j) in _DETERMINERS or (_is_article(pieces, j) and preposition != "for")
    if named:
        j += 1
    words = []
    end = min(len(pieces), j + _LONGEST)
    while j < end and isinstance(pieces[j], Token) and word_at(pieces, j) not in _PLACE:
        words.append(word_at(pieces, j))
        j += 1
    if not words or words[0] in _FILLING or (preposition == "in" and words[-1] in _FILLING):
        return j if preposition == "in" and words[:1] in (["water"], ["brine"], ["juice"]) else 0
    placed = preposition in ("in", "on") and len(words) == 1 and words[0] in PLACE_WORDS  # "in office"
    if not (named or placed) and preposition not in _BARE:
        return 0
    known = table.starts(words) and words[-1] not in _PLACES
    return 0 if known or words[0] in FILLER else j


def _is_article(pieces: Sequence[Piece], i: int) -> bool:
    piece = pieces[i] if i < len(pieces) else None
    return isinstance(piece, Amount) and piece.article


def without_filler(pieces: Sequence[Piece], table: FoodTable) -> list[Piece]:
    """Leave out the words that say nothing, except within a known name ("corn on the cob")."""
    kept: list[Piece] = []
    within = 0
    for i, piece in enumerate(pieces):
        if not isinstance(piece, Token):
            kept.append(piece)
            continue
        filler = piece.text in FILLER
        if not filler and i >= within and word_at(pieces, i + 1) in FILLER | {"on", "and", "of"}:
            words = [word_at(pieces, k) for k in range(i, min(i + 6, len(pieces)))]
            words = words[: words.index("")] if "" in words else words
            within = max(within, i + table.starts(words))
        if not filler or i < within:
            kept.append(piece)
    return kept
