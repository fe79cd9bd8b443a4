"""Whole sentences that ask for everything that is held about who says them. Pure."""

import re

_POLITE = re.compile(r"^(?:(?:please|pls|hey|ok|can you|could you) )+")
_SHOW = re.compile(r"^(?:show|tell|give|send) me ")
_AFTER = re.compile(r" (?:please|pls|now|as (?:a |one )?(?:zip|files?|package))$")
_HOLDS = r"(?:hold|have|got|keep|store|save|collect|held|kept|stored|saved|collected)(?:ing)?"
_HELD = re.compile(
    r"(?:(?:what|everything|anything|all)(?: (?:data|info|information|records))?(?: that|'s| is| else)*"
    r"|(?:all |all of )?(?:the |my )?(?:data|info|information|records)(?: that)?)"
    rf"(?: (?:do|have|are))?(?: you(?:'ve|'re)?)?(?: (?:have|are))? {_HOLDS}(?: stored| saved| kept)?"
    r" (?:about|on) me"
)
_WANTED = re.compile(
    r"(?:i'd like|i would like|i want|i need|give|send|hand over|hand me|export|download|get|take out"
    r"|let me have|(?:can|could|may) i (?:have|get|see|download|export))"
    r" (?:me )?(?:a copy of )?(?:all |all of )?my (?:own |personal )?data"
    r"|(?:a copy of |all |all of )my (?:own |personal )?data"
    r"|export (?:everything|all of it|all my (?:notes|readings|records|stuff))"
)


def asks_for_all(said: str) -> bool:
    """Tell whether a sentence, in small letters, asks for all that is held about who says it.

    >>> [asks_for_all(said) for said in ("what do you hold about me", "send me all my data", "my data")]
    [True, True, False]
    """
    asked = _POLITE.sub("", _AFTER.sub("", said))
    return any(form.fullmatch(words) for form in (_HELD, _WANTED) for words in (asked, _SHOW.sub("", asked)))
