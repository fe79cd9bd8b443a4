"""Answers about a run: steadier or not, what good days have, feelings, intakes, movement after meals."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from analysis.errors import InsufficientData
from bot.answers.days import end_of
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.reminders.rules import first_instant
from bot.reply import numbers
from bot.store import Person, Transaction
from bot.understanding.questions.sorts import FIRST, USUAL_DAYS
from bot.understanding.states.feelings import FEELINGS

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from analysis.intakes import Intakes, Nutrient
    from bot.frames.whole_days import WholeDays

LOOK_BACK = timedelta(days=120)
Say = Callable[[Transaction, Person, Question, datetime], Outgoing]
MOST_SPAN_DAYS = 14
NUTRIENT_WORDS: tuple[tuple[str, "Nutrient"], ...] = (
    ("fibre", "fibre"),
    ("fiber", "fibre"),
    ("roughage", "fibre"),
    ("protein", "protein"),
    ("satur", "saturated fat"),
    ("fat", "fat"),
    ("sugar", "sugars"),
    ("carb", "carbohydrate"),
    ("calor", "energy"),
    ("kcal", "energy"),
    ("energy", "energy"),
)
_SATURATED = re.compile(r"\bsat(?:ur\w*)?\.? fats?\b")
SHOWN: tuple["Nutrient", ...] = ("energy", "carbohydrate", "fibre", "protein", "saturated fat")
"""What is said where no nutrient is named."""
MORE_WORDS: tuple[tuple[str, str], ...] = (
    ("clear", "clear-headed"),
    ("focus", "clear-headed"),
    ("tired", "tired"),
    ("slump", "tired"),
    ("fatigue", "tired"),
    ("shak", "shaky"),
    ("dizz", "dizzy"),
    ("headache", "headache"),
)
"""How other words for a feeling begin than those that note it."""


def say_felt(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what glucose was like when a feeling was noted, beyond chance or not."""
    from analysis.feelings import judge_feelings
    from bot.frames.feelings import felt_between, read_at
    from bot.reply.results_feelings import felt

    since = question.since or now - LOOK_BACK
    grid, moments, noted = felt_between(tx, person, since, end_of(question, now))
    found = judge_feelings(grid, moments) if grid is not None else []
    read = read_at(grid, moments) if grid is not None else ()
    return Outgoing(person.id, felt(found, noted, feelings_in(question.said), person.unit, read))


def feelings_in(said: str) -> list[str]:
    """Return the feelings that a question names, as they are judged; none where it names none.

    >>> feelings_in("when I'm knackered, is my glucose low?")
    ['tired']
    """
    from bot.frames.feelings import name_of

    words = re.findall(r"[a-z']+", said.lower().replace("low", " "))
    named = [name_of(FEELINGS[word]) for word in words if word in FEELINGS]
    named += [name for word in words for part, name in MORE_WORDS if word.startswith(part)]
    return list(dict.fromkeys(name for name in named if name not in ("", "low", "better", "fine", "good")))


def say_steadier(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say whether the later days are steadier than the earlier ones."""
    from bot.frames.whole_days import whole_days_between

    whole = whole_days_between(tx, person, now - LOOK_BACK, now)
    return say_spans(tx, person, whole, part_spans(whole.days, question, person, now))


def say_spans(tx: Transaction, person: Person, whole: "WholeDays", spans: "Parted") -> Outgoing:
    """Say whether a later span is steadier than an earlier one, and what was eaten in both."""
    from bot.frames.whole_days import compare_spans
    from bot.reply.results_overrun import Spans, few_for_progress, progress

    try:
        changes = compare_spans(whole, spans.first, spans.last)
    except InsufficientData as few:
        return Outgoing(person.id, few_for_progress(few))
    eaten = tuple(_eaten(tx, person, span[0], span[-1]) for span in (spans.first, spans.last))
    said = Spans(*spans.names, (eaten[0], eaten[1]))
    return Outgoing(person.id, progress(changes, said, person.unit))


@dataclass(frozen=True, slots=True)
class Parted:
    """The whole days of an earlier and a later span, and what the two are called."""

    first: tuple[date, ...]
    last: tuple[date, ...]
    names: tuple[str, str]


def part_spans(whole: tuple[date, ...], question: Question, person: Person, now: datetime) -> Parted:
    """Return the spans that a question of progress compares.

    A span of the question that ends before now is the earlier one, and what comes after it the later; one up
    to now is the later, and as many days before it the earlier, or those from the first on where the
    question is against these. Without a span: the halves of the run (`part_halves`).
    """
    if question.since is None:
        return part_halves(whole)
    since, ends = question.since.astimezone(person.zone).date(), end_of(question, now)
    if ends < now:
        until = ends.astimezone(person.zone).date()
        earlier = tuple(day for day in whole if since <= day < until)
        return Parted(earlier, tuple(d for d in whole if d >= until), ("the days before", "the days since"))
    length = now.astimezone(person.zone).date() - since
    before = tuple(day for day in whole if day < since)
    days = numbers.count(length.days + 1, "day")
    start, name = since - length - timedelta(days=1), f"the {days} before"
    if question.against == FIRST and before:
        start, name = before[0], f"your first {days}"
    earlier = tuple(day for day in before if start <= day <= start + length)
    return Parted(earlier, tuple(day for day in whole if day >= since), (name, f"your last {days}"))


def part_halves(whole: tuple[date, ...]) -> Parted:
    """Return the first and the last whole days, half of them each, two weeks at most."""
    many = min(MOST_SPAN_DAYS, len(whole) // 2)
    days = numbers.count(many, "whole day")
    return Parted(whole[:many], whole[len(whole) - many :], (f"your first {many}", f"your last {days}"))


def say_good_days(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what separates good days from bad."""
    from bot.frames.whole_days import good_days_between, usual_names
    from bot.reply.results_overrun import good_days

    since, until = question.since or now - LOOK_BACK, end_of(question, now)
    found = good_days_between(tx, person, since, until)
    return Outgoing(person.id, good_days(found, usual_names(tx, person, since, until), person.unit))


def say_intakes(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what a day's food holds, beside published lines; today is not over yet."""
    from analysis.intakes import describe_intakes
    from bot.frames.whole_days import intakes_between
    from bot.reply.results_intakes import intakes

    since = question.since or now - timedelta(days=USUAL_DAYS)
    found = describe_intakes(intakes_between(tx, person, since, _before_today(person, question, now)))
    said = _SATURATED.sub("satur", question.said.lower())
    wanted = list(dict.fromkeys(nutrient for part, nutrient in NUTRIENT_WORDS if part in said))
    return Outgoing(person.id, intakes(found, wanted or SHOWN))


def say_moved(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say how movement followed meals."""
    from bot.frames.whole_days import moved_between
    from bot.reply.results_intakes import moved

    since = question.since or now - timedelta(days=USUAL_DAYS)
    return Outgoing(person.id, moved(moved_between(tx, person, since, end_of(question, now))))


def _before_today(person: Person, question: Question, now: datetime) -> datetime:
    today = first_instant(now.astimezone(person.zone).date(), time(0), person.zone)
    return min(end_of(question, now), today)


def _eaten(tx: Transaction, person: Person, first: date, last: date) -> "Intakes":
    from analysis.intakes import describe_intakes
    from bot.frames.whole_days import intakes_between

    since, until = (first_instant(day, time(0), person.zone) for day in (first, last + timedelta(days=1)))
    return describe_intakes(intakes_between(tx, person, since, until))
