"""Answers to questions: what is looked up, what is said about it, and which picture goes with it."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from analysis.units import write_glucose
from bot.answers.amounts import say_daily, say_entries, say_held, say_last, say_movement, say_total
from bot.answers.compare import answer_compare
from bot.answers.days import answer_day, answer_days, end_of, say_fasting
from bot.answers.not_yet import say_food, say_foods, say_lever, say_plan, say_trial
from bot.answers.sides import names
from bot.model.entries import About, Meal, Question
from bot.model.messages import Outgoing, PictureSpec
from bot.reminders.sensor import say_age, say_sensor
from bot.reminders.words import word_quiet
from bot.reply import fixed, numbers
from bot.reply.facts import say_facts
from bot.reply.words import nutrients, title
from bot.store import Logged, Person, Transaction
from bot.talk.own_words import list_words
from bot.understanding.corrections.teaching import LIST
from bot.understanding.questions.sorts import USUAL_DAYS, Sort

WEEK = timedelta(days=7)
NEXT = {"sync": "to sync", "sensor end": "your sensor ends", "nudge": "whether anything was eaten"}
LOOK_BACK = timedelta(days=14)
LOOK_BACK_MEALS = 300
SLOTS = ("breakfast", "lunch", "dinner", "snack", "drink")
Answer = Callable[[Transaction, Person, Question, datetime], Outgoing]

DEFAULTS: dict[About, Sort] = {
    "best_worst": "ranking", "one_meal": "curve", "food": "effect", "habit": "lever", "fasting": "fasting", "day": "day",
    "trial": "trial", "plan": "plan", "help": "abilities", "status": "record", "other": "unknown",
}  # fmt: skip
"""What a question is of which only the first kind is known."""


def answer(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Answer one question: with what was found, or with what is missing and what can be told already."""
    if question.about == "other" and question.subject == LIST:
        return Outgoing(person.id, list_words(tx, person))
    sort = question.sort or DEFAULTS[question.about]
    if sort in SAID:
        return Outgoing(person.id, SAID[sort])
    return _ANSWERS[sort](tx, person, question, now)


def _food(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    compared = answer_compare(tx, person, question, now) if question.sort == "compare" else None
    if compared is not None:
        return compared
    return say_food(tx, person, question, now) if question.subject else say_foods(tx, person)


def _trial(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    return say_trial(person, question)


def _settings(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    levels = {"all": "on", "sync": "only to sync in time", "none": "off"}
    lines = [
        f"Your unit is {person.unit}, your clock {person.zone.key}, quiet hours {word_quiet(person)}.",
        f"Reminders are {levels[person.remind]}; I ask {numbers.minutes(person.sync_lead_min)} before readings are lost. "
        f"Your sensor keeps {numbers.minutes(person.memory_min)} and lasts {person.sensor_days} days.",
        say_facts(tx.facts.all(person.id)),
    ]
    return Outgoing(person.id, "\n".join(lines))


def _ranked(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    since = question.since or now - WEEK
    return _best_and_worst(tx, person, since, end_of(question, now), question.subject)


def _best_and_worst(tx: Transaction, person: Person, since: datetime, until: datetime, slot: str) -> Outgoing:
    from analysis.ranking import rank_meals
    from bot.frames.servings import servings_between
    from bot.reply.results import best_and_worst

    servings = servings_between(tx, person, since, until)
    of_slot = tuple(s for s in servings if s.slot == slot) if slot in SLOTS else servings
    ranking = rank_meals(of_slot)
    local = until.astimezone(person.zone)
    name = f"week-to-{local:%Y-%m-%d}"
    drawn = len(ranking.meals) > 1 and of_slot == servings  # the picture shows all meals
    picture = PictureSpec("week", name, since=since, until=until) if drawn else None
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
        return _no_meal(tx, person, question, now)
    said = say_curve(tx, person, found, now)
    figures = nutrients(found.entry.nutrients) if isinstance(found.entry, Meal) else ""
    if question.sort == "meal nutrients" and figures and figures not in said.text:
        said = replace(said, text=f"{figures}\n{said.text}")
    if question.sort == "why" and said.picture is not None:
        said = replace(said, text=f"{said.text}\n{fixed.WHY_NOT_YET}")
    return said


def _no_meal(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say that a meal is not noted, and which ones are."""
    last = next(iter(tx.log.last(person.id)), None)
    known = ""
    if last is not None and isinstance(last.entry, Meal):
        known = f" The last meal I have is {title(last.entry)}, {numbers.day_and_clock(last.at, person.zone, now)}."
    when = "" if question.since is None else " in that time"
    return Outgoing(
        person.id,
        f"I have no {question.subject or 'meal'} noted{when}.{known} Note it with its time, like “soup at 12:30”.",
    )


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
    held = nutrients(logged.entry.nutrients) if isinstance(logged.entry, Meal) else ""
    if held and serving.evenness is not None:
        text += f"\n{held}"
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


def _status(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
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


def _sensor(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    return Outgoing(person.id, say_sensor(tx, person, now))


SAID: dict[str, str] = {
    "abilities": fixed.HELP,
    "how to say": fixed.HELP,
    "meaning": fixed.MEANING,
    "where from": fixed.WHERE_FROM,
    "medicine": fixed.ASK_A_CLINICIAN,
    "diagnosis": fixed.NO_DIAGNOSIS,
    "unknown": fixed.NOT_YET,
}
"""Questions that have one standing answer."""

_ANSWERS: dict[str, Answer] = {
    "ranking": _ranked,
    "curve": _one_meal,
    "why": _one_meal,
    "meal nutrients": _one_meal,
    "effect": _food,
    "compare": _food,
    "which foods": lambda tx, person, question, now: say_foods(tx, person),
    "carbs in": lambda tx, person, question, now: say_held(tx, person, question),
    "lever": say_lever,
    "fasting": _fasting,
    "day": answer_day,
    "average day": answer_days,
    "weekends": answer_days,
    "summary": answer_days,
    "eating window": answer_days,
    "a1c": answer_days,
    "total": say_total,
    "daily nutrients": say_daily,
    "since last": say_last,
    "entries": say_entries,
    "movement": say_movement,
    "trial": _trial,
    "plan": lambda tx, person, question, now: say_plan(tx, person, now),
    "record": _status,
    "sync": _status,
    "sensor": _sensor,
    "settings": _settings,
}
