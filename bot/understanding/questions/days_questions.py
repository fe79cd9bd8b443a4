"""Which analysis over days a question means, by its words. Pure.

A question whose first sort (`Question.about`) is too coarse is told apart here: “average day” and “show
Tuesday” are both about `day`. `read_days_question` also reads the short ones that stand alone as a message,
such as “summary” or “weekdays against weekends”.
"""

import re
from typing import Literal

from bot.model.entries import About, Question
from bot.understanding.context import Context
from bot.understanding.questions.periods import read_period
from bot.understanding.words.mending import mend
from bot.understanding.words.tokens import read_tokens

DaysKind = Literal["average", "weekends", "summary", "a1c", "eating"]
USUAL_DAYS = 28
"""How far back an analysis over days looks when no span is named: as long as two sensors last."""
MOST_CHARACTERS = 100

_TIME_ABOVE = (
    r"\btime (?:spent )?(?:above|over|below|under) \d{1,3}(?:\.\d)?(?: ?(?:mmol(?:/l)?|mg/?dl))?(?![\w.])"
)
_WHERE: tuple[tuple[DaysKind, str], ...] = (
    ("a1c", r"\b(?:hb)?a1c\b|\bgmi\b"),
    (
        "weekends",
        r"\b(?:average|typical|usual) week ?(?:day|end)s?\b"
        r"|\bweek ?days?\b.*\bweek ?ends?\b|\bweek ?ends?\b.*\bweek ?days?\b",
    ),
    (
        "eating",
        r"\bbetween (?:my )?meals\b|\b(?:eating|meal) ?(?:times|window|hours|pattern)\b"
        r"|\bwithout (?:eating|food)\b|\bhow (?:often|many times) do i eat\b"
        r"|\bwhen do i (?:usually |normally )?eat\b|\bhow (?:long|many hours) (?:do i|did i|was my) fast\b",
    ),
    ("average", r"\b(?:average|typical|usual|normal|median|mean) (?:day|24 hours)\b"),
    (
        "summary",
        r"\bsummar(?:y|ise|ize)\b"
        r"|\bhow (?:steady|stable|even|variable) (?:am i|is my|was i|have i been|are my)\b"
        r"|\b(?:my )?variability\b|\btime in (?:the )?ranges?\b"
        rf"|{_TIME_ABOVE}"
        r"|\b(?:mean|average) (?:glucose|(?:blood )?sugar|level)\b|\bhow am i doing\b",
    ),
)
_PERIOD = (
    r"(?: (?:of|for|in|over|from|during))?(?: (?:the|this|my))?"
    r"(?: (?:(?:last|past) )?(?:\d{1,5} )?(?:days?|weeks?|months?|years?)"
    r"| today| yesterday| since [\w ]{3,20}| so far)?"
)
_OR = r"(?:against|vs?\.?|versus|and|or|with|to|compared (?:to|with)) "
_WEEK = re.compile(rf"\bweek(?= {_OR}(?:the )?week ?ends?\b)", re.IGNORECASE)
"""Said against the weekend, the week is its weekdays; by itself it is the last seven days."""
_ALONE = re.compile(
    r"(?:(?:please|pls|show|give|me|my|the|a|an|compare|what is|what's|whats|how do|how did|estimate)\s+)*"
    r"(?:summary|(?:hb)?a1c|gmi|(?:average|typical|usual|mean) (?:day|glucose|week ?(?:day|end))"
    rf"|{_TIME_ABOVE}|time in (?:the )?ranges?|(?:eating|meal) ?(?:times|window|hours|pattern)|variability"
    rf"|week ?days? {_OR}(?:the )?week ?ends?|week ?ends? {_OR}(?:the )?week ?days?)"
    + _PERIOD
    + r"(?: please)?[ ?!.]*"
)


def find_kind(said: str) -> DaysKind | None:
    """Return which analysis over days some words ask for, None for none of these."""
    words = _plain(said)
    return next((kind for kind, pattern in _WHERE if re.search(pattern, words)), None)


def read_days_question(text: str, context: Context) -> Question | None:
    """Return the question that a whole message is, when it is one over days and nothing else."""
    if len(text) > MOST_CHARACTERS:
        return None
    mended = _WEEK.sub("weekdays", mend(text, context.table).strip())
    words = _plain(mended)
    if _ALONE.fullmatch(words) is None:
        return None
    since, until = read_period(read_tokens(words), context)
    about: About = "other" if find_kind(words) == "a1c" else "day"
    return Question(about, since, until, said=mended)


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.lower().replace("’", "'")).strip()
