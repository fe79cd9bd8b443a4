"""Tokens folded into pieces: names, then times, then meal names, then amounts, then what is left. Pure."""

from collections.abc import Sequence
from functools import lru_cache

from bot.foodtable import FoodTable
from bot.understanding.foods.own_table import fold_names
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.pieces import Piece
from bot.understanding.pieces.slots import fold_slots
from bot.understanding.pieces.times import fold_times
from bot.understanding.words.tokens import Token


def fold_tokens(tokens: Sequence[Token], table: FoodTable) -> list[Piece]:
    """Return the pieces of tokens, with nothing dropped."""
    return list(_fold(tuple(tokens), table))


@lru_cache(maxsize=32)
def _fold(tokens: tuple[Token, ...], table: FoodTable) -> tuple[Piece, ...]:
    # The same words are read as a note and as a change, one after the other.
    return tuple(fold_amounts(fold_slots(fold_times(fold_names(tokens, table)), table)))
