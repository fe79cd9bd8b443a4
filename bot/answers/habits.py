"""Answers to “does a walk help?” and “what do my habits do?”."""

from datetime import datetime

from bot.answers.drives import judge_asked
from bot.answers.levers import asks_for_all, find_lever
from bot.answers.not_yet import say_other_habit
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.store import Person, Transaction


def say_lever(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what a habit does; of one that is not judged, how many meals there are with it and without."""
    from analysis.habits.effects import judge_levers_of
    from bot.reply.results_habits import brief_levers, by_routine, not_noted, one_lever

    name = find_lever(question.subject, question.said)
    every = not name and asks_for_all(question.said)
    if not name and not every:
        return say_other_habit(tx, person, question, now)
    judged = judge_asked(tx, person, question, now)
    rows = () if judged is None else judged.occasions.rows
    found = [] if judged is None else judge_levers_of(judged.fit, rows)
    if every:
        return Outgoing(person.id, brief_levers(found))
    medicine = takes_medicine(tx, person)
    one = next((each for each in found if each.name == name), None)
    if one is None:
        return Outgoing(person.id, not_noted(name, len(rows), medicine=medicine))
    assumed = by_routine(sum(name in row.assumed for row in rows))
    return Outgoing(person.id, f"{one_lever(one, medicine=medicine, whole=False)} {assumed}".strip())


def takes_medicine(tx: Transaction, person: Person) -> bool:
    """Tell whether a person said that they take a medicine."""
    return any(fact.what == "medicine" for fact in tx.facts.all(person.id))
