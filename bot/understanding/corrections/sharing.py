"""Which share of a plate its eater had, where others had some of it."""

from bot.understanding.corrections.change import Change
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.elements import fold_all
from bot.understanding.foods.remarks import parts_of
from bot.understanding.foods.said import EATING
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS

_OTHERS = TAGS.people_remarks | TAGS.others_sharing
_TAKING = EATING | TAGS.taking


def share_of(change: Change) -> float | None:
    """Return the share that was eaten; what others had of it is not."""
    share, left = change.frame.first("share"), change.frame.first("left")
    if share is not None and isinstance(share.piece, Amount):
        had = share.piece.value
        return 1 - had if had < 1 and _is_of_others(share, change.text) else had
    if left is not None and isinstance(left.piece, Amount):
        return 1 - left.piece.value
    return 1 / (parts_of(fold_all(change.text, change.context)) or 2.0)


def _is_of_others(share: Element, text: str) -> bool:
    """Tell whether somebody else had that share: "my husband ate a third", "gave a third to my son"."""
    words = [word.strip(",.;:!'") for word in text[: share.start].lower().split()]
    behind = {word.strip(",.;:!'") for word in text[share.end :].lower().split()[:6]}
    taken = max((k for k, word in enumerate(words) if word in _TAKING | TAGS.giving_sharing), default=-1)
    if taken < 0:
        return False
    if words[taken] in TAGS.giving_sharing:
        return bool((set(words[taken:]) | behind) & TAGS.people_remarks)
    who = next((word for word in reversed(words[:taken]) if word in _OTHERS | TAGS.oneself), "i")
    return who in _OTHERS
