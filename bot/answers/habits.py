"""Answers to “does a walk help?” and “what do my habits do?”."""

from datetime import datetime
from typing import TYPE_CHECKING

from bot.answers.drives import Judged, judge_asked
from bot.answers.levers import asks_for_all, find_lever
from bot.answers.not_yet import say_other_habit
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from analysis.habits.effects import LeverEffect
    from analysis.habits.seen import Seen


def say_lever(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what a habit does; of one that is not judged, how many meals there are with it and without."""
    from analysis.habits.effects import judge_lever_of, judge_levers_of
    from analysis.habits.seen import see_lever
    from bot.reply.results_habits import brief_levers, by_routine, not_noted, one_lever

    name = "" if question.sort == "habits" else find_lever(question.subject, question.said)
    every = question.sort == "habits" or (not name and asks_for_all(question.said))
    if not name and not every:
        return say_other_habit(tx, person, question, now)
    judged = judge_asked(tx, person, question, now)
    rows = () if judged is None else judged.occasions.rows
    if every:
        return Outgoing(person.id, brief_levers([] if judged is None else judge_levers_of(judged.fit, rows)))
    medicine = takes_medicine(tx, person)
    one = None if judged is None else judge_lever_of(judged.fit, rows, name)
    if one is None:
        return Outgoing(person.id, not_noted(name, len(rows), medicine=medicine))
    assumed = by_routine(sum(name in row.assumed for row in rows))
    text = f"{one_lever(one, medicine=medicine, whole=False)} {assumed}".strip()
    drawn = judged is not None and one.enough and see_lever(judged.fit, rows, name) is not None
    return Outgoing(person.id, text, picture=judged.picture("lever", name) if judged and drawn else None)


def lever_with_meals(judged: Judged, name: str) -> "tuple[LeverEffect, Seen] | None":
    """Return a lever and its meals with and without it; None where there are not enough to be drawn."""
    from analysis.habits.effects import judge_lever_of
    from analysis.habits.seen import see_lever

    rows = judged.occasions.rows
    one = judge_lever_of(judged.fit, rows, name)
    seen = None if one is None or not one.enough else see_lever(judged.fit, rows, name)
    return None if one is None or seen is None else (one, seen)


def takes_medicine(tx: Transaction, person: Person) -> bool:
    """Tell whether a person said that they take a medicine."""
    return any(fact.what == "medicine" for fact in tx.facts.all(person.id))
