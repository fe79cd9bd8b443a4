"""Questions for the versions of a staple: “versions of my breakfast”, “my porridge variants”. Pure."""

import re

from bot.understanding.context import Context
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.questions.subjects import known_food
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.plain_words import is_plain

LONGEST_NAME = 4
_SEVERAL = re.compile(r"\b(?:versions|variants|variations)\b")
_NOTED = re.compile(r"\d|^(?:i )?(?:just )?(?:had|ate|drank|eaten|having)\b")
_ASKING = tuple(
    re.compile(pattern)
    for pattern in (
        r"(?:which|what)\b.*\b(?:version|variant|variation|way)s?\b.*",
        r"(?:.*\b)?ways (?:of|to (?:make|have|eat|prepare)|in which|that|i|we)\b.*",
        r"(?:what happens|what happened|what difference|does it matter|is there a difference|does it change"
        r" anything)\b.*\b(?:chang|var(?:y|ied|ying)|how i|which way)\w*.*",
        r"what (?:have|did|do) i (?:changed?|varied|vary)\b.*",
        r"(?:how|which way|in which way|what way) (?:should|do|can|could) i (?:best )?"
        r"(?:make|have|eat|take|do|prepare)\b.*\b(?:best|so (?:that )?it|for the (?:smallest|least|lowest)"
        r"|kindest|gentlest)\b.*",
        r".+: (?:which|what) (?:version|variant|variation|way)\b.*",
    )
)
_BESIDE = TAGS.any_varied | TAGS.beside_varied


def find_varied(said: str, context: Context) -> str | None:
    """Return whose versions a sentence asks for: a meal of the day, a food, "" for any staple; else None.

    said: in lower case, without marks at its ends
    """
    if _NOTED.search(said):
        return None
    several = _SEVERAL.search(said)
    if several is None and not any(pattern.fullmatch(said) for pattern in _ASKING):
        return None
    words = re.findall(r"[^\W\d_][\w'-]*", said)
    for word in words:
        slot = SLOT_WORDS.get(word) or SLOT_WORDS.get(word.removesuffix("s"))
        if slot:
            return slot
    for long in range(LONGEST_NAME, 0, -1):
        for k in range(len(words) - long + 1):
            some = words[k : k + long]
            if _BESIDE & {*some} or is_plain(some[0]) or is_plain(some[-1]):
                continue
            for name in (" ".join(some), " ".join(some).removesuffix("s")):
                if known_food(name, context):
                    return name
    return "" if TAGS.any_varied & {*words} or (several is not None and len(words) <= 2) else None
