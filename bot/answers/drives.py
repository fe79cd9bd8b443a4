"""Answers to “what does rice do to me?”, “what drives it?” and “does a walk help?”."""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bot.answers.days import end_of
from bot.answers.levers import find_lever
from bot.answers.not_yet import say_other_habit, say_whole
from bot.answers.sides import holds
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from bot.frames.rows import Occasions

LOOK_BACK = timedelta(days=120)
MOST_FOODS = 3


def say_food(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what a food does; what is no food by itself, such as a dish, by the scores of its servings."""
    from analysis.foods.effects import judge_foods
    from bot.reply.results_foods import one_food

    occasions = _look(tx, person, question, now)
    exact = [food for food, said in occasions.said.items() if question.subject.lower() in said]
    meant = exact or [
        food for food, said in occasions.said.items() if any(holds(name, question.subject) for name in said)
    ]
    if not meant:
        return say_whole(tx, person, question, now)
    found = [one for one in judge_foods(occasions.rows) if one.food in meant]
    found = sorted(found, key=lambda one: -one.occasions)[:MOST_FOODS]
    lines = [one_food(one, occasions.names, person.unit) for one in found]
    return Outgoing(person.id, "\n".join(lines))


def say_foods(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say which foods add most, and what would tell more."""
    from analysis.foods.effects import judge_foods
    from bot.reply.results_foods import drivers, no_rows

    occasions = _look(tx, person, question, now)
    if not occasions.rows:
        return Outgoing(person.id, no_rows(len(occasions.left_out)))
    return Outgoing(person.id, drivers(judge_foods(occasions.rows), occasions.names, person.unit))


def say_lever(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what a habit does; of one that is not judged, how many meals there are with it and without."""
    from analysis.habits.effects import judge_levers
    from bot.reply.results_habits import not_noted, one_lever

    name = find_lever(question.subject, question.said)
    if not name:
        return say_other_habit(tx, person, question, now)
    occasions = _look(tx, person, question, now)
    medicine = takes_medicine(tx, person)
    found = {one.name: one for one in judge_levers(occasions.rows)}
    if name not in found:
        return Outgoing(person.id, not_noted(name, len(occasions.rows), medicine=medicine))
    return Outgoing(person.id, one_lever(found[name], medicine=medicine, whole=False))


def takes_medicine(tx: Transaction, person: Person) -> bool:
    """Tell whether a person said that they take a medicine."""
    return any(fact.what == "medicine" for fact in tx.facts.all(person.id))


def _look(tx: Transaction, person: Person, question: Question, now: datetime) -> "Occasions":
    from bot.frames.rows import rows_between

    return rows_between(tx, person, question.since or now - LOOK_BACK, end_of(question, now))
