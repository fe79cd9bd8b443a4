"""Words behind a change that say only why it is one: "delete the toast, the dog had it"."""

import re
from collections.abc import Sequence

from bot.understanding.corrections.element import Element, tags_of
from bot.understanding.pieces.pieces import Amount

REASON, PER_REASON_WORD, MOST_REASON_WORDS = 1.0, 0.15, 14
"""For words behind a change that say only why."""
PLAIN_REASON, PER_PLAIN_WORD = 0.3, 0.08
"""... where they hold no food, amount or time."""
_SAYS_WHAT_STANDS = re.compile("[bte]+[PK](,?[PK])*x?")
_NAMES_ANOTHER = re.compile("[FK]{1,2}")


def reason_cost(part: Sequence[Element]) -> float | None:
    """Return what it costs that words only say why, None where they can hardly be that."""
    if len(part) > MOST_REASON_WORDS:
        return None
    tags = {e.tag for e in part}
    if _SAYS_WHAT_STANDS.fullmatch(tags_of(part)):
        return PLAIN_REASON
    if _NAMES_ANOTHER.fullmatch(tags_of(part)):
        return None  # "the bread was 2 slices, rye"
    if tags & {"T", "S"} and "e" in tags and tags & {"F", "K", "P"}:
        return None  # "today I had only coffee" is told, and says no reason
    told = {e.tag for e in part if not (isinstance(e.piece, Amount) and e.piece.article and not e.piece.unit)}
    if not told & set("FKPATSHM"):
        return PLAIN_REASON + PER_PLAIN_WORD * len(part)
    weight = {"F": 3.0, "K": 2.0, "A": 3.0, "P": 1.0, "T": 2.0, "S": 2.0}
    return REASON + sum(PER_REASON_WORD * weight.get(e.tag, 1.0) * (2 if e.tag in "FA" else 1) for e in part)
