"""Whether amounts between foods in a row are of the food before or behind: "idli 3 sambar", "roti 2 dal"."""

from collections.abc import Sequence

from bot.foodtable import FoodTable, Match
from bot.foodtable.words import plain_word
from bot.understanding.foods.categories import is_of
from bot.understanding.pieces.pieces import Amount, Piece
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token


def fits_before(pieces: Sequence[Piece], table: FoodTable, usual: bool) -> bool:
    """Tell whether amounts that stand between foods are of those before them.

    usual: what holds where they fit neither way better, or do not stand each between two foods
    """
    runs: list[list[str]] = [[]]
    amounts: list[Amount] = []
    for piece in pieces:
        if isinstance(piece, Amount):
            if not runs[-1]:
                return usual
            amounts.append(piece)
            runs.append([])
        elif isinstance(piece, Token) and piece.kind != "mark":
            runs[-1].append(piece.text)
    if not amounts or set(runs[-1]) <= TAGS.manner:
        return usual
    before = [_last_known(run, table) for run in runs[:-1]]
    behind = [_first_known(run, table) for run in runs[1:]]
    misfits = [
        sum(_misfits(a, match, table) for a, match in zip(amounts, side, strict=True))
        for side in (before, behind)
    ]
    if misfits[0] != misfits[1]:
        return misfits[0] < misfits[1]
    if len(amounts) == 1 and _counts_before(amounts[0], runs, before[0], behind[0]):
        return True
    return usual or (len(amounts) == 1 and _is_cut_of(amounts[0], before[0], behind[0], table))


def _counts_before(amount: Amount, runs: list[list[str]], before: Match | None, behind: Match | None) -> bool:
    """Tell "sausages 3 mash" and "steak 8 oz baked potato" from "toast 2 eggs"."""
    if before is None or behind is None or amount.share or amount.article or amount.vague:
        return False
    if amount.unit in TAGS.exact_units:
        return is_of("meat", before) and not is_of("meat", behind) and not is_of("spread", behind)
    several = [plain_word(word) != word for word in (runs[0][-1], runs[1][0])]
    return not amount.unit and amount.value > 1 and several == [True, False]


def _is_cut_of(amount: Amount, before: Match | None, behind: Match | None, table: FoodTable) -> bool:
    """Tell whether slices are of what is cut into the larger ones: "pizza 4 slices pepperoni"."""
    if amount.unit not in TAGS.dealt or before is None or behind is None:
        return False
    one = table.weigh(before, amount.unit)
    other = None if behind.entry == before.entry else table.weigh(behind, amount.unit)
    return one is not None and (other is None or one.grams > other.grams)


def _first_known(words: Sequence[str], table: FoodTable) -> Match | None:
    start = next((k for k in range(len(words)) if table.starts(words[k:])), None)
    if start is None:
        return None
    return table.match(" ".join(words[start : start + table.starts(words[start:])]))


def _last_known(words: Sequence[str], table: FoodTable) -> Match | None:
    found = (k for k in range(len(words)) if table.starts(words[k:]) == len(words) - k)
    start = next(found, None)
    return None if start is None else table.match(" ".join(words[start:]))


def _misfits(amount: Amount, match: Match | None, table: FoodTable) -> bool:
    """Tell whether an amount is none that people give of a food: "3 sambar", "300 ml oats"."""
    if match is None or amount.article or amount.vague or amount.share or amount.size:
        return False
    if amount.unit in TAGS.volume_units:
        return not (is_of("drinkable", match) or is_of("soup", match))
    if amount.unit in TAGS.exact_units:
        return False
    return table.weigh(match, amount.unit or "piece") is None
