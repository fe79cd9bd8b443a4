"""Search: the meals that hold some food, newest first, and how long ago the last one was."""

from datetime import datetime, timedelta

from bot.answers.day_list import scores_of_day
from bot.answers.days import end_of
from bot.answers.sides import Side, amount_of, names, spell_side
from bot.model.entries import Meal, Question
from bot.model.messages import Outgoing
from bot.model.naming import title
from bot.reply import numbers
from bot.store import Logged, Person, Transaction

LOOK_BACK_MEALS = 5000
MOST_FOUND = 8


def say_found(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """List the meals with a food: when, how much of it, and what they scored."""
    words, found = find(tx, person, question, now)
    if not found:
        return _none(tx, person, words)
    lines = [_line(tx, person, one, words, now) for one in found[:MOST_FOUND]]
    more = len(found) - len(lines)
    head = f"{words[:1].upper()}{words[1:]} is in {numbers.count(len(found), 'meal')}, the newest first:"
    return Outgoing(
        person.id,
        "\n".join([head, *lines, *([f"… and {numbers.count(more, 'earlier one')}."] if more else [])]),
        entry_id=found[0].id,
    )


def say_last(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say when a food was last eaten, and how long ago that is."""
    words, found = find(tx, person, question, now)
    if not found:
        return _none(tx, person, words)
    days = (now.astimezone(person.zone).date() - found[0].at.astimezone(person.zone).date()).days
    ago = "today" if days == 0 else "yesterday" if days == 1 else f"{days} days ago"
    lines = [f"That was {ago}: {_line(tx, person, found[0], words, now)}"]
    if words and len(found) > 1:
        lines.append(f"“Everything with {words}” lists {numbers.count(len(found), 'meal')}.")
    return Outgoing(person.id, "\n".join(lines), entry_id=found[0].id)


def find(tx: Transaction, person: Person, question: Question, now: datetime) -> tuple[str, list[Logged]]:
    """Return the words looked for, a slip of spelling put right, and the meals they name, newest first."""
    noted = [
        one
        for one in tx.log.last(person.id, n=LOOK_BACK_MEALS)
        if isinstance(one.entry, Meal) and (question.since is None or question.since <= one.at)
    ]
    noted = [one for one in noted if one.at < end_of(question, now)] if question.since else noted
    meals = [one.entry for one in noted if isinstance(one.entry, Meal)]
    words = spell_side(Side(question.subject), meals).words if question.subject else ""
    return words, [one for one, meal in zip(noted, meals, strict=True) if not words or names(words, meal)]


def _line(tx: Transaction, person: Person, logged: Logged, words: str, now: datetime) -> str:
    meal = logged.entry
    assert isinstance(meal, Meal)
    grams = amount_of(words, meal) if words else None
    amount = "" if not grams else f", {numbers.grams(grams)} of it"
    score = scores_of_day(tx, person, logged.at, logged.at + timedelta.resolution).get(logged.id)
    scored = "" if score is None else f"; evenness {score:.0f}"
    return f"{numbers.day_and_clock(logged.at, person.zone, now)} {title(meal)}{amount}{scored}"


def _none(tx: Transaction, person: Person, words: str) -> Outgoing:
    count = len(tx.log.last(person.id, n=LOOK_BACK_MEALS))
    if not words or not count:
        return Outgoing(person.id, "I have no meal noted yet.")
    return Outgoing(person.id, f"I find no {words} in {_of(count)}.")


def _of(count: int) -> str:
    return "the one meal I have" if count == 1 else f"the {count:,} meals I have"
