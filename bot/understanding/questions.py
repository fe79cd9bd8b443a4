"""Sentences that ask something of the bot.

A week is today and the seven local days before it; "last week" is the calendar week before this one.
"""

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from bot.entries import About, Question
from bot.understanding.context import Context
from bot.understanding.instants import day_of, place
from bot.understanding.pieces import Moment, Piece
from bot.understanding.slots import SLOT_WORDS, USUAL_TIME
from bot.understanding.times import fold_times
from bot.understanding.tokens import Token
from bot.understanding.wordlists import word_set

_STARTERS = word_set(
    "how how's hows what what's whats which when why who is are does do did should show compare tell give "
    "list where"
)
# These begin notes as well ("did 20 squats"): they ask only with a question mark or a subject behind them.
_NEEDS_SUBJECT = frozenset(
    {"did", "do", "does", "is", "are", "list", "give", "where", "top", "should", "will"}
)
_SUBJECTS = frozenset({"i", "my", "the", "it", "you", "me", "we", "this", "that", "walking", "vinegar"})
_POLITE = frozenset({"please", "pls", "hey", "hi", "hello", "ok", "so", "and", "tell", "show", "me"})
_HELP = frozenset(
    phrase.strip()
    for phrase in """help, help me, commands, start, menu, info, hi, hello, hey, hi there, hello there,
    what can you do, what can i do, what can i ask, what can i say,
    what do i do, what now, how does this work, how do you work, how do i use this""".replace(
        "\n", " "
    ).split(",")
)
_STATUS = re.compile(
    r"^(status|when (is|was|did|do|should).*(sync|reminder|reading)|(am i|is .*) synced"
    r"|how many (readings|meals|days).*)"
)
_BEST = frozenset({"best", "worst", "bst", "wrst", "top", "steadiest", "evenest", "highest", "lowest"})
_BEST_TOO = word_set(
    "best worst bst wrst n pls top and or meal meals of the my our this last past week weeks month day "
    "days today yesterday for in from were was so far is are breakfast breakfasts lunch lunches dinner "
    "dinners snack snacks what which show me tell please had have i did 3 5 7 14 30 three five seven food "
    "foods"
)
_ABOUT_MEAL = frozenset({"curve", "score", "result", "results", "evenness", "picture", "graph", "chart"})
_HABITS = frozenset(
    {"walk", "walking", "walks", "vinegar", "cinnamon", "order", "sleep", "exercise", "moving", "first"}
)
_MEDICAL = frozenset({"diabetes", "diabetic", "prediabetes", "insulin", "doctor"})
_FASTING = word_set(
    "fasting values value trend glucose sugar morning mornings last days weeks week my this 7 14 30"
)
_TRIAL = frozenset({"trial", "trials", "experiment", "experiments", "versus", "vs", "compare"})
_NO_SUBJECT = word_set(
    "how how's hows what what's whats was were is are did does do the my a an for me i it that this about "
    "of go went please show tell curve score result results look like after last meal food eating eat bad "
    "good ok okay to on in with blood sugar glucose raise spike at been your you think and today "
    "yesterday evening morning which foods food most help helps doing matter matters if best worst than "
    "more"
)


def read_question(sentence: Sequence[Token], asked: bool, text: str, context: Context) -> Question | None:
    """Return what one sentence asks, None when it is a note; `asked`: it ends with a question mark."""
    words = [t.text for t in sentence if t.kind != "mark"]
    if not words:
        return Question("help", said="?") if asked and set(text.strip()) == {"?"} else None
    said = " ".join(text[sentence[0].start : sentence[-1].end].split())
    about = _about(words, asked)
    if about is None:
        return None
    since, until = read_period(sentence, context)
    subject = ""
    if about in ("one_meal", "food", "habit", "best_worst"):
        subject = _subject(words) if about != "best_worst" else _slot_said(words)
    if about == "best_worst" and since is None:
        since, until = last_days(8, context), context.now
    if about == "one_meal" and since is None and subject in SLOT_WORDS.values():
        since, until = _day_of_slot(subject, context)
    if about == "day" and since is None:
        since, until = last_days(1, context), context.now
    return Question(about, since, until, subject, said)


def _about(words: list[str], asked: bool) -> About | None:
    phrase = " ".join(words).removesuffix(" please")
    known = set(words)
    if phrase in _HELP:
        return "help"
    if "fasting" in known and (known & _STARTERS or known <= _FASTING):
        return "fasting"
    if words[0] in _NEEDS_SUBJECT and not asked and not (len(words) > 1 and words[1] in _SUBJECTS):
        return None
    if _STATUS.match(phrase) and not known & set(SLOT_WORDS):
        return "status"
    starts = words[0] in _STARTERS or (words[0] in _POLITE and bool(known & _STARTERS))
    if known & _BEST and (known <= _BEST_TOO or (starts and words[0] not in _BEST)):
        return "best_worst"
    names_meal = bool(known & set(SLOT_WORDS)) or bool({"meal", "meals"} & known)
    if names_meal and (known & _ABOUT_MEAL or (asked and len(words) <= 2)):
        return "one_meal"
    if not starts:
        return None
    about = _about_rest(words, known, names_meal)
    return None if about == "other" and len(words) == 1 and not asked else about


def _about_rest(words: list[str], known: set[str], names_meal: bool) -> About | None:
    """Sort a sentence that begins like a question."""
    phrase = " ".join(words)
    if known & _MEDICAL:
        return "other"
    if known & _TRIAL:
        return "trial"
    if known & {"sync", "reminder", "reminders"}:
        return "status"
    if phrase.startswith(("how do i ", "how can i ")):
        return "help"
    if re.search(
        r"what (should|can|could|do) i (eat|have|try|do)|what next|what to (eat|try)|\bplan\b", phrase
    ):
        return "plan"
    if known & _HABITS and {"does", "do", "help", "helps", "is", "are", "effect", "matter"} & known:
        return "habit"
    past = bool({"was", "were", "did"} & known)
    if words[0] in ("how", "how's", "hows", "show", "what", "what's") and (
        names_meal or (past and words[0] == "how")
    ):
        rest = [w for w in words if w not in _NO_SUBJECT and w not in _DAYS]
        return "one_meal" if rest or names_meal else "day"
    if words[0] in ("how", "how's", "hows", "show") and known & _DAYS:
        return "day"
    if words[0] in ("how", "is", "are", "does", "do", "what") and {"is", "are", "does", "do"} & known:
        return "food" if _subject(words) else "other"
    if known & {"food", "foods"} and words[0] in ("which", "what"):
        return "food"
    return "other" if words[0] in _STARTERS else None


_DAYS = word_set("today yesterday day week monday tuesday wednesday thursday friday saturday sunday night")


def _subject(words: Sequence[str]) -> str:
    slot = _slot_said(words)
    if slot:
        return slot
    return " ".join(w for w in words if w not in _NO_SUBJECT and w not in _DAYS and not w.endswith("'s"))


def _slot_said(words: Sequence[str]) -> str:
    return next(
        (SLOT_WORDS[word.removesuffix("s")] for word in words if word.removesuffix("s") in SLOT_WORDS), ""
    )


def last_days(days: int, context: Context) -> datetime:
    """Return the midnight that begins the last so many local days, today included."""
    return _midnight(context.local_now.date() - timedelta(days=days - 1), context)


def _midnight(day: date, context: Context) -> datetime:
    return place(day, time(0), context.zone)


def read_period(sentence: Sequence[Piece], context: Context) -> tuple[datetime, datetime] | tuple[None, None]:
    """Return the span of time that a sentence names; the end is now, or the midnight after a past day."""
    today = context.local_now.date()
    phrase = " ".join(t.text for t in sentence if isinstance(t, Token))
    count = re.search(r"\b(?:last|past) (\d{1,3}) (day|week)s?\b", phrase)
    if count is not None:
        return last_days(max(1, int(count[1]) * (7 if count[2] == "week" else 1)), context), context.now
    if "last week" in phrase:
        monday = today - timedelta(days=today.weekday() + 7)
        return _midnight(monday, context), _midnight(monday + timedelta(days=7), context)
    if re.search(r"\bweek\b", phrase):
        return last_days(8, context), context.now
    if "this month" in phrase:
        return _midnight(today.replace(day=1), context), context.now
    if re.search(r"\bmonth\b", phrase):
        return last_days(31, context), context.now
    for piece in fold_times(list(sentence)):
        if isinstance(piece, Moment) and piece.has_day:
            day = day_of(piece, today)
            if day is not None and day <= today:
                end = context.now if day == today else _midnight(day + timedelta(days=1), context)
                return _midnight(day, context), end
    return None, None


def _day_of_slot(slot: str, context: Context) -> tuple[datetime, datetime]:
    """Return today, or yesterday when that meal's time has not come yet."""
    local = context.local_now
    usual = next((t for s, t in USUAL_TIME.items() if s == slot), None)
    if usual is not None and local < place(local.date(), usual, context.zone) - timedelta(hours=2):
        return last_days(2, context), _midnight(local.date(), context)
    return last_days(1, context), context.now
