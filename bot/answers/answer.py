"""Answers to questions: what is looked up, what is said about it, and which picture goes with it."""

import re
from datetime import datetime, timedelta

from bot.answers.compare import answer_compare
from bot.answers.days import answer_day, answer_days, end_of, say_fasting
from bot.answers.meals import answer_best_and_worst, answer_one_meal
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.reminders.quiet_hours import word_quiet
from bot.reminders.sensor import say_age
from bot.reply import fixed, numbers
from bot.reply.own_words import list_words
from bot.store import Person, Transaction
from bot.understanding.corrections.teaching import LIST
from bot.understanding.questions.days_questions import USUAL_DAYS, find_kind

WEEK = timedelta(days=7)
NEXT = {"sync": "to sync", "sensor end": "your sensor ends", "nudge": "whether anything was eaten"}
LOOK_BACK = timedelta(days=14)
TRIAL = re.compile(r"\b(trials?|experiments?|test|try)\b", re.I)
"""Words of a planned trial, which is another thing than comparing what was eaten anyway."""
SHOW = ("show", "draw", "plot")
MEDICINES = re.compile(
    r"\b(insulin|metformin|medicines?|medications?|tablets?|pills?|dos(e|es|age|ing)|inject\w*|drugs?)\b",
    re.I,
)


def answer(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Answer one question, or say that it cannot be answered yet and what can be asked."""
    kind = find_kind(question.said)
    if kind is not None and question.about not in ("help", "best_worst", "status"):
        return answer_days(tx, person, question, now, kind)
    match question.about:
        case "help":
            return Outgoing(person.id, fixed.HELP)
        case "best_worst":
            return answer_best_and_worst(tx, person, question.since or now - WEEK, end_of(question, now))
        case "one_meal":
            return answer_one_meal(tx, person, question, now)
        case "status":
            return _status(tx, person, now)
        case "day":
            return answer_day(tx, person, question, now)
        case "fasting":
            return _fasting(tx, person, question, now)
        case "other" if question.subject == LIST:
            return Outgoing(person.id, list_words(tx.words.all(person.id)))
        case _ if MEDICINES.search(question.said):
            return Outgoing(person.id, fixed.ASK_A_CLINICIAN)
        case "other" if question.since is not None and question.said.lower().startswith(SHOW):
            return answer_day(tx, person, question, now)
        case "trial" | "food" if not TRIAL.search(question.said):
            compared = answer_compare(tx, person, question, now)
            return compared or Outgoing(person.id, fixed.NOT_YET)
        case _:
            return Outgoing(person.id, fixed.NOT_YET)


def _fasting(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    since = question.since or now - timedelta(days=USUAL_DAYS)
    return say_fasting(tx, person, since, end_of(question, now))


def _status(tx: Transaction, person: Person, now: datetime) -> Outgoing:
    meals = tx.log.between(person.id, ("meal",), now - LOOK_BACK, now + timedelta(minutes=1))
    newest = tx.readings.last_at(person.id)
    count = numbers.count(tx.readings.count(person.id), "reading")
    when = "" if newest is None else f", the newest at {numbers.day_and_clock(newest, person.zone, now)}"
    due = [r for r in tx.reminders.pending(person.id) if r.due_at >= now and r.kind != "shift"]
    ahead = ""
    if due:
        first = min(due, key=lambda r: r.due_at)
        what = NEXT.get(first.kind.removeprefix("later "), "to check a meal")
        ahead = f" Next reminder: {what}, {numbers.day_and_clock(first.due_at, person.zone, now)}."
    return Outgoing(
        person.id,
        f"{numbers.count(len(meals), 'meal')} noted in the last 14 days; {count}{when}.{ahead}\n"
        f"Your clock is {person.zone.key}, your unit {person.unit}, quiet hours {word_quiet(person)}.\n"
        f"{say_age(tx, person, now)} /sensor says more.",
    )
