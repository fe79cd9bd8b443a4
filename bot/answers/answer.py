"""Answers to questions: what is looked up, what is said about it, and which picture goes with it."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from analysis.units import write_glucose
from bot.answers.compare import answer_compare
from bot.answers.days import answer_day, answer_days, end_of, say_fasting
from bot.answers.sides import names
from bot.model.entries import Meal, Question
from bot.model.messages import Outgoing, PictureSpec
from bot.reminders.sensor import say_age
from bot.reminders.words import word_quiet
from bot.reply import fixed, numbers
from bot.reply.words import nutrients
from bot.store import Logged, Person, Transaction
from bot.talk.own_words import list_words
from bot.understanding.corrections.teaching import LIST
from bot.understanding.questions.days_questions import USUAL_DAYS, find_kind

WEEK = timedelta(days=7)
NEXT = {"sync": "to sync", "sensor end": "your sensor ends", "nudge": "whether anything was eaten"}
LOOK_BACK = timedelta(days=14)
LOOK_BACK_MEALS = 300
TRIAL = re.compile(r"\b(trials?|experiments?|test|try)\b", re.I)
"""Words of a planned trial, which is another thing than comparing what was eaten anyway."""
FOR_FIGURES = re.compile(r"\bhow (many|much)\b", re.I)
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
            return _best_and_worst(tx, person, question.since or now - WEEK, end_of(question, now))
        case "one_meal":
            return _one_meal(tx, person, question, now)
        case "status":
            return _status(tx, person, now)
        case "day":
            return answer_day(tx, person, question, now)
        case "fasting":
            return _fasting(tx, person, question, now)
        case "other" if question.subject == LIST:
            return Outgoing(person.id, list_words(tx, person))
        case _ if MEDICINES.search(question.said):
            return Outgoing(person.id, fixed.ASK_A_CLINICIAN)
        case "other" if question.since is not None and question.said.lower().startswith(SHOW):
            return answer_day(tx, person, question, now)
        case "trial" | "food" if not TRIAL.search(question.said):
            compared = answer_compare(tx, person, question, now)
            return compared or Outgoing(person.id, fixed.NOT_YET)
        case _:
            return Outgoing(person.id, fixed.NOT_YET)


def _best_and_worst(tx: Transaction, person: Person, since: datetime, until: datetime) -> Outgoing:
    from analysis.ranking import rank_meals
    from bot.frames.servings import servings_between
    from bot.reply.results import best_and_worst

    ranking = rank_meals(servings_between(tx, person, since, until))
    local = until.astimezone(person.zone)
    name = f"week-to-{local:%Y-%m-%d}"
    picture = PictureSpec("week", name, since=since, until=until) if len(ranking.meals) > 1 else None
    return Outgoing(person.id, best_and_worst(ranking), picture=picture)


def _fasting(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    since = question.since or now - timedelta(days=USUAL_DAYS)
    return say_fasting(tx, person, since, end_of(question, now))


def _one_meal(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    if question.since is None:
        meals = tx.log.last(person.id, n=LOOK_BACK_MEALS)
    else:
        meals = tx.log.between(person.id, ("meal",), question.since, end_of(question, now))[::-1]
    found = next((meal for meal in meals if _fits(meal, question.subject)), None)
    if found is None:
        what = question.subject or "meal"
        return Outgoing(
            person.id, f"I have no {what} noted in that time. Note it with its time, like “soup at 12:30”."
        )
    said = say_curve(tx, person, found, now)
    figures = nutrients(found.entry.nutrients) if isinstance(found.entry, Meal) else ""
    if FOR_FIGURES.search(question.said) and figures not in said.text:
        said = replace(said, text=f"{figures}\n{said.text}")
    return said


def _fits(logged: Logged, subject: str) -> bool:
    meal = logged.entry
    if not isinstance(meal, Meal) or not meal.items:
        return False
    return not subject or names(subject, meal)


def say_curve(tx: Transaction, person: Person, logged: Logged, now: datetime) -> Outgoing:
    """Answer with one meal's score and curve; without readings, say what is missing and how to get it."""
    from bot.frames.servings import occasion_of, serving_of
    from bot.reply.results import scored

    logged = occasion_of(tx, person, logged)
    serving, earlier = serving_of(tx, person, logged)
    text = scored(serving, earlier, zone=person.zone, unit=person.unit, now=now)
    if isinstance(logged.entry, Meal) and serving.evenness is not None:
        text += f"\n{nutrients(logged.entry.nutrients)}"
    if not len(serving.mmol):
        example = write_glucose(6.1, person.unit)
        text += f" Sync your sensor and send its file, or type readings like “{example} at 13:15”."
        return Outgoing(person.id, text, entry_id=logged.id)
    local = logged.at.astimezone(person.zone)
    spec = PictureSpec("curve", f"{local:%Y-%m-%d-%H%M}-{serving.slot}", entry_id=logged.id)
    return Outgoing(person.id, text, picture=spec, entry_id=logged.id)


def say_new_curves(
    tx: Transaction, person: Person, ids: Sequence[int], now: datetime, most: int = 3
) -> list[Outgoing]:
    """Answer with the curves that new readings completed: the latest `most`, the others by name."""
    meals = [logged for logged in (tx.log.get(i) for i in ids) if logged is not None]
    meals.sort(key=lambda logged: logged.at)
    rest, shown = meals[:-most], meals[-most:]
    replies = [say_curve(tx, person, logged, now) for logged in shown]
    if rest:
        replies.insert(
            0,
            Outgoing(
                person.id,
                f"{numbers.count(len(rest), 'earlier meal')} can be scored too: ask “best and worst this "
                "week”, or for one of them, like “how was lunch yesterday?”.",
            ),
        )
    return replies


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
