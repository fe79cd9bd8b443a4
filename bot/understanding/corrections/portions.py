"""A bare amount as the answer to "How much rice?"."""

import re
from dataclasses import replace

from bot.model.entries import Correction, Meal, Understood
from bot.understanding.context import Context
from bot.understanding.corrections.amounts_changed import units_said
from bot.understanding.corrections.edits import read_edits
from bot.understanding.notes.notes import fold
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

ASKED = "portion "
"""How the question about the amount of a food begins in `Context.answering`; the food's name follows."""
_LEAST_BARE = 20.0
_OPENING = re.compile(r"^\W*(?:(?:no|it was|that was|make it|make that)[ ,:]+)+", re.IGNORECASE)


def _is_of_another(unit: str, context: Context) -> bool:
    """Tell whether an amount is rather of another food of the plate: "two glasses", after rice and wine."""
    meal, asked = context.noted[-1].entry if context.noted else None, context.answering.removeprefix(ASKED)
    others = [item for item in meal.items if item.name != asked] if isinstance(meal, Meal) else []
    return unit not in TAGS.exact_units and any(unit in units_said(item.said) for item in others)


def read_portion(text: str, context: Context) -> Understood | None:
    """Return the amount of the food that was asked about, None when the message says anything else.

    A number by itself is an amount only from 20 on: below, it may be a glucose value.
    """
    if not context.answering.startswith(ASKED):
        return None
    text = _OPENING.sub("", text)
    pieces = [p for p in fold(text, context.table) if not (isinstance(p, Token) and p.kind == "mark")]
    if len(pieces) != 1 or not isinstance(pieces[0], Amount) or pieces[0].unit in ("min", "h"):
        return None
    amount = pieces[0]
    if not amount.unit and (amount.value < _LEAST_BARE or context.unit != "mmol/L"):
        return None
    if amount.unit and _is_of_another(amount.unit, context):
        return None
    said = " ".join(text.split()).rstrip(" .!")
    unit = "" if amount.unit else " g"
    found = read_edits(f"no, {said}{unit} {context.answering.removeprefix(ASKED)}", context)
    if found is None:
        return None
    # "A small one" and "half of it" say how it was this time.
    usual = not (amount.vague or amount.size or amount.share)
    changes = (replace(e, usual=usual) if isinstance(e, Correction) else e for e in found.entries)
    return Understood(tuple(changes), found.asks)
