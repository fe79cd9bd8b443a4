"""Whether a bare number is an hour or an amount, weighed by what stands beside it: "dinner 7 salmon"."""

import re
from collections.abc import Sequence

from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.pieces import Piece, word_at
from bot.understanding.pieces.slots import SLOT_WORDS, fits_hour
from bot.understanding.pieces.units import LOOSE_UNITS, UNITS
from bot.understanding.words.costs import cost_of
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

_PART_BEHIND = (("in", "the"), ("at", "night"), ("this",))
_MINUTES = re.compile(r"[0-5][05]")
_DOTTED = re.compile(r"\d{1,2}\.[0-5][05]")
_HOURS = re.compile(r"1?\d|2[0-3]")
_LEAST_ODD_COUNT = 5  # from here on a count with a singular noun ("7 salmon") is odd


def is_likely_hour(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether the bare number at `i` is rather an hour than how many of what follows."""
    return _odds(pieces, i) > 0


def _odds(pieces: Sequence[Piece], i: int) -> float:
    """Return the log-odds that a bare number is an hour, by the costs of table "hour"."""
    token = pieces[i] if i < len(pieces) else None
    if not isinstance(token, Token) or token.kind != "number":
        return -1.0
    dotted = _DOTTED.fullmatch(token.text) is not None
    if not dotted and not _HOURS.fullmatch(token.text):
        return -1.0
    hour, before, after = int(token.number), word_at(pieces, i - 1), word_at(pieces, i + 1)
    odds = -cost_of("hour", "bare")
    if after == "sharp" or _part_behind(pieces, i + 1):
        return cost_of("hour", "surely")
    slot = SLOT_WORDS.get(before)
    if slot in ("snack", "drink"):
        odds += cost_of("hour", "behind_snack")
    elif before in TAGS.parts_hours or (
        slot is not None and (fits_hour(slot, hour) or fits_hour(slot, hour + 12))
    ):
        odds += cost_of("hour", "behind_meal")
    elif before in TAGS.when:
        odds += cost_of("hour", "behind_when")
    if dotted:
        return odds + cost_of("hour", "minutes") - cost_of("hour", "counts") * _is_counted(pieces, i + 1)
    following = pieces[i + 1] if i + 1 < len(pieces) else None
    spanned = word_at(pieces, i + 2) in TAGS.spans
    if (
        isinstance(following, Token)
        and _MINUTES.fullmatch(after)
        and (spanned or not _is_counted(pieces, i + 2))
    ):
        opens = before in TAGS.edges_hours and i + 2 < len(pieces)
        return odds + cost_of("hour", "minutes") * (2 if opens and hour <= 12 else 1)
    if isinstance(following, Token) and (
        following.kind == "number" or after in NUMBER_WORDS or after in TAGS.told
    ):
        odds += cost_of("hour", "told")
    elif _is_counted(pieces, i + 1):
        odds -= cost_of("hour", "counts")
    elif after not in TAGS.edges_hours and hour >= _LEAST_ODD_COUNT:
        odds += cost_of("hour", "odd_count")
    return odds


def _part_behind(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether "in the morning", "at night" or "this evening" stands at `i`."""
    for said in _PART_BEHIND:
        if all(word_at(pieces, i + k) == word for k, word in enumerate(said)):
            return said == ("at", "night") or word_at(pieces, i + len(said)) in TAGS.parts_hours
    return False


def _is_counted(pieces: Sequence[Piece], i: int) -> bool:
    """Tell whether the word at `i` is a measure, or a plural that a number counts."""
    word = word_at(pieces, i)
    plural = word.endswith("s") and not word.endswith(("ss", "us", "is"))
    plural = plural or (word_at(pieces, i + 1).endswith("s") and word_at(pieces, i + 1) not in ("was", "is"))
    return word in UNITS or word in LOOSE_UNITS or plural or word in TAGS.measures
