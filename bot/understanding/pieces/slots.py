"""Meals by their names: which word means which slot, and when each is usually eaten."""

from collections.abc import Sequence
from datetime import time

from bot.foodtable import FoodTable
from bot.model.entries import Slot
from bot.understanding.pieces.pieces import Moment, Piece, SlotWord, word_at
from bot.understanding.words.lexicon import TAGS, meanings
from bot.understanding.words.tokens import Token

SLOT_WORDS: dict[str, Slot] = meanings("slot")

USUAL_TIME: dict[Slot, time] = {"breakfast": time(8), "lunch": time(12, 30), "dinner": time(19)}
"""When a meal was eaten that was named but not timed; common practice, no source."""

_HOURS: dict[Slot, tuple[int, int]] = {"breakfast": (3, 12), "lunch": (10, 17), "dinner": (16, 27)}


def fits_hour(slot: Slot, hour: int) -> bool:
    """Tell whether a meal of that name is usually eaten in that hour (dinner: until 3 at night)."""
    if slot not in _HOURS:
        return True
    first, end = _HOURS[slot]
    return first <= hour < end or first <= hour + 24 < end


def slot_of_hour(hour: int, *, only_nibbles: bool = False) -> Slot:
    """Name the meal by the hour of its first bite; fruit, nuts or sweets alone make one only early on."""
    if only_nibbles and not 4 <= hour < 10:
        return "snack"
    if 4 <= hour < 11:
        return "breakfast"
    if 11 <= hour < 15:
        return "lunch"
    if 17 <= hour < 23:
        return "dinner"
    return "snack"


def fold_slots(pieces: Sequence[Piece], table: FoodTable) -> list[Piece]:
    """Replace meal names ("for breakfast", "my lunch", "tea:") by `SlotWord`; "roast dinner" is food."""
    folded: list[Piece] = []
    i = 0
    while i < len(pieces):
        j = i
        while j - i < 3 and word_at(pieces, j) in TAGS.before_name:
            j += 1
        if _is_morning_tea(pieces, i, j):
            folded.append(SlotWord(pieces[i].start, pieces[j + 1].end, "snack"))
            i = j + 2 + (word_at(pieces, j + 2) == ":")
            continue
        slot = _slot_at(pieces, j, named=word_at(pieces, i) == "for")
        if slot is not None and word_at(pieces, j + 1) == "/" and _slot_at(pieces, j + 2, named=True):
            i = j + 3  # "brekkie/lunch": the time tells
            i += word_at(pieces, i) == ":"
            continue
        if slot is None or _in_food_name(pieces, j, table):
            folded.append(pieces[i])
            i += 1
            continue
        end = j + 1
        while word_at(pieces, end) in TAGS.said_of | {"today"} and end < j + 3:
            end += 1
        folded.append(SlotWord(pieces[i].start, pieces[end - 1].end, slot))
        i = end
    return folded


def _is_morning_tea(pieces: Sequence[Piece], i: int, j: int) -> bool:
    """Tell whether "morning tea" at `j` is the break: "for morning tea", "morning tea: 2 biscuits"."""
    if word_at(pieces, j + 1) != "tea" or word_at(pieces, j) not in ("morning", "afternoon"):
        return False
    return word_at(pieces, i) in ("for", "at") or word_at(pieces, j + 2) == ":"


def _in_food_name(pieces: Sequence[Piece], i: int, table: FoodTable) -> bool:
    """Tell whether the meal's name at `i` is part of a food's ("roast dinner", "breakfast cereal")."""
    if word_at(pieces, i + 1) in TAGS.said_of:
        return False  # "tea was sausage and mash"
    starts = (i,) if word_at(pieces, i - 1) == "for" else (i - 2, i - 1, i)  # "salad for tea"
    for start in starts:
        if start < i and word_at(pieces, start) in TAGS.before_name:
            continue
        words = [word_at(pieces, k) for k in range(max(start, 0), min(i + 3, len(pieces)))]
        words = words[: next((k for k, word in enumerate(words) if word in TAGS.marks), len(words))]
        named = start >= 0 and len(words) > i - start and all(words[: i - start])
        if named and table.starts(words) > max(i - start, 0) + (start == i):
            return True
    return False


def _tells_of_day(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether a day and a verb follow: "tea tonight was pie"."""
    day = pieces[i] if i < len(pieces) else None
    return isinstance(day, Moment) and not day.has_clock and word_at(pieces, i + 1) in (":", "was", "is")


def _is_a_place(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether "diner" is a restaurant: another meal is named, or a time that is no evening."""
    if word_at(pieces, i - 1) in ("the", "a") or word_at(pieces, i + 1) in ("roll", "rolls", "breakfast"):
        return True
    named = any(isinstance(p, Token) and p.text in SLOT_WORDS and p.text != "diner" for p in pieces)
    early = any(
        isinstance(p, Moment) and p.hour is not None and (p.half == "am" or (p.hour < 16 and p.padded))
        for p in pieces
    )
    return named or early


def _slot_at(pieces: Sequence[Piece], i: int, *, named: bool) -> Slot | None:
    piece = pieces[i] if i < len(pieces) else None
    if not isinstance(piece, Token):
        return None
    following = word_at(pieces, i + 1)
    if piece.text == "diner" and _is_a_place(pieces, i):
        return None
    if piece.text == "tea":
        if not named and following not in (":", "was") and not _tells_of_day(pieces, i + 1):
            return None
        return "dinner"
    if piece.text in ("snack", "drink", "breakfast", "lunch") and following in (
        "bar",
        "bars",
        "cereal",
        "box",
        "mix",
        "cake",
        "cakes",
        "pot",
        "pots",
    ):
        return None
    before = word_at(pieces, i - 1)
    if piece.text == "drink" and before.isalpha() and before not in TAGS.before_name | {"evening"}:
        return None  # "cola type drink", "soup, and water to drink"
    if piece.text == "drink" and following not in ("", ":", ",", "at") and not named:
        next_piece = pieces[i + 1] if i + 1 < len(pieces) else None
        if isinstance(next_piece, Token):
            return None
    return SLOT_WORDS.get(piece.text)
