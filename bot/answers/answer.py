"""Answers to questions: what is looked up, what is said about it, and which picture goes with it."""

from collections.abc import Callable
from datetime import datetime, timedelta

from analysis.kept import keeping
from bot.answers.about_bot import say_help, say_privacy, say_settings
from bot.answers.all_held import send_everything
from bot.answers.amounts import say_entries, say_held, say_movement, say_total
from bot.answers.day_list import say_day_list
from bot.answers.days import answer_day, answer_days, end_of, say_fasting
from bot.answers.drives import answer_two, say_food, say_foods
from bot.answers.finding import say_found, say_last
from bot.answers.habits import say_lever
from bot.answers.meals import answer_best_and_worst, answer_one_meal
from bot.answers.night import answer_night
from bot.answers.over_run import say_felt, say_good_days, say_intakes, say_moved, say_steadier
from bot.answers.pictured import answer_run, answer_servings, answer_shifts, answer_waking
from bot.answers.plan import say_plan
from bot.answers.plate import say_portion, say_why
from bot.answers.reports import answer_report
from bot.answers.runs import answer_runs
from bot.answers.trials import say_progress
from bot.answers.variants import answer_variants
from bot.answers.week import answer_week
from bot.model.entries import About, Question
from bot.model.messages import Outgoing
from bot.reminders.quiet_hours import word_quiet
from bot.reminders.sensor import say_age, say_sensor
from bot.reply import fixed, numbers
from bot.reply.own_words import list_words
from bot.store import Person, Transaction
from bot.understanding.corrections.teaching import LIST
from bot.understanding.questions.sorts import USUAL_DAYS, Sort

WEEK = timedelta(days=7)
NEXT = {
    "review": "the review of your week",
    "evening": "to close the day",
    "last hours": "the last readings of this sensor",
    "sensor over": "your sensor is over",
    "eat": "a serving to try",
    "sync": "to sync",
    "sensor end": "your sensor ends",
    "nudge": "whether anything was eaten",
}
LOOK_BACK = timedelta(days=14)
LOOK_BACK_MEALS = 300
SLOTS = ("breakfast", "lunch", "dinner", "snack", "drink")
Answer = Callable[[Transaction, Person, Question, datetime], Outgoing]

DEFAULTS: dict[About, Sort] = {
    "best_worst": "ranking", "one_meal": "curve", "food": "effect", "habit": "lever",
    "fasting": "fasting", "day": "day",
    "trial": "trial", "plan": "plan", "help": "abilities", "status": "record", "other": "unknown",
}  # fmt: skip
"""What a question is of which only the first kind is known."""


def answer(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Answer one question: with what was found, or with what is missing and what can be told already."""
    if question.about == "other" and question.subject == LIST:
        return Outgoing(person.id, list_words(tx.words.all(person.id)))
    sort = question.sort or DEFAULTS[question.about]
    if sort in SAID:
        return Outgoing(person.id, SAID[sort])
    with keeping():
        return _ANSWERS[sort](tx, person, question, now)


def _food(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    compared = answer_two(tx, person, question, now) if question.sort == "compare" else None
    if compared is not None:
        return compared
    say = say_food if question.subject or question.sort == "effect" else say_foods
    return say(tx, person, question, now)


def _ranked(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    since = question.since or now - WEEK
    slots = [slot for slot in (question.subject, question.against) if slot in SLOTS]
    return answer_best_and_worst(tx, person, since, end_of(question, now), slots)


def _fasting(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    since = question.since or now - timedelta(days=USUAL_DAYS)
    return say_fasting(tx, person, since, end_of(question, now))


def _status(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    meals = tx.log.between(person.id, ("meal",), now - LOOK_BACK, now + timedelta(minutes=1))
    newest = tx.readings.last_at(person.id)
    count = numbers.count(tx.readings.count(person.id), "reading")
    when = "" if newest is None else f", the newest at {numbers.day_and_clock(newest, person.zone, now)}"
    due = [r for r in tx.reminders.pending(person.id) if r.due_at >= now and r.kind != "shift"]
    ahead = ""
    if due:
        first = min(due, key=lambda r: r.due_at)
        what = NEXT.get(first.kind.removeprefix("later ").split(":")[0], "to check a meal")
        ahead = f" Next reminder: {what}, {numbers.day_and_clock(first.due_at, person.zone, now)}."
    return Outgoing(
        person.id,
        f"{numbers.count(len(meals), 'meal')} noted in the last 14 days; {count}{when}.{ahead}\n"
        f"Your clock is {person.zone.key}, your unit {person.unit}, quiet hours {word_quiet(person)}.\n"
        f"{say_age(tx, person, now)} /sensor says more.",
    )


def _sensor(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    return Outgoing(person.id, say_sensor(tx, person, now))


def _trial(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    return say_progress(tx, person, now)


SAID: dict[str, str] = {
    "meaning": fixed.MEANING,
    "where from": fixed.WHERE_FROM,
    "medicine": fixed.ASK_A_CLINICIAN,
    "diagnosis": fixed.NO_DIAGNOSIS,
    "share": fixed.SHARING,
    "unknown": fixed.NOT_YET,
}
"""Questions that have one standing answer."""

_ANSWERS: dict[str, Answer] = {
    "abilities": say_help,
    "how to say": say_help,
    "privacy": say_privacy,
    "ranking": _ranked,
    "curve": answer_one_meal,
    "why": say_why,
    "meal nutrients": answer_one_meal,
    "effect": _food,
    "portion": say_portion,
    "compare": _food,
    "which foods": say_foods,
    "kind foods": say_foods,
    "leave out": _food,
    "carbs in": lambda tx, person, question, now: say_held(tx, person, question),
    "lever": say_lever,
    "habits": say_lever,
    "fasting": _fasting,
    "day": answer_day,
    "night": answer_night,
    "average day": answer_days,
    "weekends": answer_days,
    "week": answer_week,
    "runs": answer_runs,
    "summary": answer_days,
    "shifts": answer_shifts,
    "waking": answer_waking,
    "run": answer_run,
    "servings": answer_servings,
    "report": answer_report,
    "variants": answer_variants,
    "eating window": answer_days,
    "a1c": answer_days,
    "total": say_total,
    "daily nutrients": say_intakes,
    "progress": say_steadier,
    "good days": say_good_days,
    "felt": say_felt,
    "moved after": say_moved,
    "since last": say_last,
    "found": say_found,
    "entries": say_entries,
    "listed": say_day_list,
    "movement": say_movement,
    "trial": _trial,
    "trial progress": _trial,
    "trial stop": _trial,
    "trial later": _trial,
    "plan": say_plan,
    "record": _status,
    "sync": _status,
    "sensor": _sensor,
    "settings": say_settings,
    "all held": send_everything,
}
