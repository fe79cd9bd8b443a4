"""Answers about the bot itself: help by situation, all settings, and what becomes of one's data."""

import re
from datetime import datetime

from bot.language.texts import say
from bot.language.times import write_span
from bot.model.entries import Meal, Question
from bot.model.messages import Outgoing
from bot.reminders.quiet_hours import word_quiet
from bot.reply import help as helping
from bot.reply.facts import say_facts
from bot.reply.help import Example
from bot.reply.settings_list import list_settings, setting_buttons
from bot.store import Person, Transaction

_CHANGES = re.compile(r"\b(?:change|fix|correct|undo|wrong|mistake|remove|delete|edit|put right|move)\w*")
MOST_CHARACTERS = 70
"""A note that is longer makes no example."""


def say_help(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what can be said, with examples from the person's own notes."""
    name = helping.FIXING_NAME if _CHANGES.search(question.said.lower()) else helping.BEGIN
    text = helping.say_situation(name, example_of(tx, person))
    assert text is not None  # both are situations
    return Outgoing(person.id, text, buttons=helping.situation_buttons(but=name))


def say_settings(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """List all settings, with a button to change each."""
    shifts = [f"{s.name} {write_span(s.quiet_from, s.quiet_to)}" for s in tx.shifts.all(person.id)]
    text = list_settings(person, word_quiet(person), shifts, say_facts(tx.facts.all(person.id)))
    return Outgoing(person.id, text, buttons=setting_buttons())


def say_privacy(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what is held, where and how long, with a button that leads to its end."""
    return Outgoing(person.id, say(helping.PRIVACY_SAID), buttons=helping.privacy_buttons())


def example_of(tx: Transaction, person: Person) -> Example:
    """Return what the examples are made of: the last meal in the person's own words, where it is short."""
    meals = [one.entry for one in tx.log.last(person.id, n=10) if isinstance(one.entry, Meal)]
    for meal in meals:
        if meal.items and 3 < len(meal.said) <= MOST_CHARACTERS and "\n" not in meal.said:
            return Example(meal.said, meal.items[0].name, meal.slot)
    return Example()
