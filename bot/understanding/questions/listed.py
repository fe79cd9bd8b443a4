"""A day's entries, a day as text, and a search: asked for by a whole sentence of their own. Pure."""

import re
from datetime import datetime

from bot.understanding.context import Context
from bot.understanding.pieces.days import MONTHS
from bot.understanding.questions.periods import WEEKDAYS, read_period
from bot.understanding.questions.sorts import Sort
from bot.understanding.questions.subjects import known_food
from bot.understanding.words.tokens import read_tokens

Span = tuple[datetime, datetime] | tuple[None, None]
_NAMED = rf"today|yesterday|(?:on |last )?(?:{'|'.join(WEEKDAYS)})"
_DAY = (
    rf"(?:(?:the |my )?(?:entries|notes|list|day|log|diary) (?:of|for|from|on) )?"
    rf"(?:the day before yesterday|{_NAMED}"
    rf"|(?:on )?(?:the )?\d{{1,2}}(?:st|nd|rd|th)? (?:of )?(?:{'|'.join(MONTHS)})\w*"
    rf"|(?:on )?(?:{'|'.join(MONTHS)})\w* \d{{1,2}}|(?:on )?\d{{4}}-\d{{2}}-\d{{2}})"
    rf"(?:'?s)?(?: (?:entries|notes|list|log|diary|day))?"
)
_ASKED = r"(?:please |can you |could you |show me |show |give me |send me |list |print |get me |copy )*"
_TEXT = re.compile(
    rf"{_ASKED}(?:{_DAY}|(?:my |the )?day) (?:as|in) (?:plain |a )?(?:text|words i can copy)(?: please)?"
    rf"|{_ASKED}(?:the |a )?(?:plain )?text (?:of|for) (?:{_NAMED})(?: please)?"
)
_WROTE = r"log|logged|note|noted|write down|written down|enter|entered|record|recorded"
_LISTED = re.compile(
    rf"today|(?:{_NAMED})'s (?:entries|notes|list|log)"
    rf"|{_ASKED}(?:the |my )?(?:entries|notes|list|log|diary) (?:of|for|from|on) (?:{_NAMED})"
    rf"|list (?:{_NAMED})(?:'s entries|'s meals)?"
    rf"|what (?:did i|have i|i) (?:{_WROTE})(?: so far)? (?:{_NAMED})(?: so far)?"
    rf"|(?:show|list)(?: me)? (?:my |today's |the )?(?:entries|notes)"
)
_NOTES = r"(?:meals?|notes?|entries|everything|anything)"
_FOUND = re.compile(
    rf"(?:find|search|search for|look for)(?: me)?(?: all)?(?: my)?(?: {_NOTES})?"
    r"(?: (?:with|of|for|containing|that had|that has))? (?P<a>[^\d,;:]{2,60}?)"
    r"(?: in my (?:notes|log|diary|meals))?"
    r"|(?:show me |list |give me |what about )?"
    r"(?:everything|anything|all(?: my)? meals|all(?: my)? notes|every meal|every note|meals|notes|all)"
    r" (?:with|containing|that (?:had|has|have)|i (?:had|ate) with) (?P<b>[^\d,;:]{2,60}?)"
    r"(?: in (?:it|them))?"
    r"|(?:when|where) (?:did i|have i) (?:have|had|eat|eaten) (?P<c>[^\d,;:]{2,60}?)"
    r"(?: in my (?:notes|log|diary))?"
)
_NOT_FOOD = re.compile(
    r"^(?:the )?(?:product|brand\w*|packet|packaged)\b"
    r"|\b(?:carb\w*|fibre|fiber|protein|curves?|scores?|sensor|walks?|time|way"
    r"|breakfasts?|lunch(?:es)?|dinners?|suppers?|snacks?|meals?"
    r"|out|last|first|to eat|before|after|more|less|best|worst|most|least|between|today|yesterday"
    r"|this|that|what|why|how|if|which)\b"
)


def read_listed(said: str, context: Context) -> tuple[Sort, str, Span] | None:
    """Return which list a whole sentence asks for, of what food and of which days; None if it asks for none.

    “today”, “what did I log on Tuesday”, “Tuesday as text”, “everything with buckwheat”, “find lemon”
    """
    if context.answering or (context.pointed is not None and said == "today"):
        return None  # the answer to "when was it?"
    if _LISTED.fullmatch(said):
        return "listed", "", read_period(read_tokens(said), context)
    if _TEXT.fullmatch(said):
        return "as text", "", read_period(read_tokens(said), context)
    found = _FOUND.fullmatch(said)
    subject = next((name for name in found.groups() if name), "") if found is not None else ""
    if found is not None and subject and not _NOT_FOOD.search(subject):
        subject = re.sub(r"^(?:the|my|any|some|a|an) ", "", subject)
        is_food = known_food(subject, context) or any(known_food(w, context) for w in subject.split())
        if found["a"] is None or is_food:
            return "found", subject, (None, None)
    return None
