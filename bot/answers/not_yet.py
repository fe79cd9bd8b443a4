"""Answers that need more than there is: what is missing, and what can be told already."""

from datetime import datetime, timedelta

from bot.answers.sides import names
from bot.model.entries import Meal, Question
from bot.model.messages import Outgoing
from bot.model.naming import join
from bot.reply import numbers
from bot.store import Person, Transaction

NEED_SERVINGS = 6
"""Servings of a food, each with a curve, from which on something can be said of it."""
FIRST_SERVINGS = 2
"""... from which on a food of the table is judged, however unsurely."""
NEED_EACH = 5
"""Meals with a habit and as many without."""
MOST_SCORES = 5
WHICH_HABIT = (
    "I didn't catch which habit you mean. Ask like “does a walk help?”; “which habits help me?” names all "
    "that I set beside your curves."
)
_MINUTE = timedelta(minutes=1)
_SHARED = timedelta(hours=2)
"""The curve that a note shares may begin so long before or after it."""


def say_whole(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say of what is no food of the table how many servings there are, and what they scored."""
    from bot.frames.servings import servings_between

    what = question.subject
    meals = [
        m
        for m in tx.log.between(person.id, ("meal",), question.since, None)
        if isinstance(m.entry, Meal) and names(what, m.entry)
    ]
    if not meals:
        return Outgoing(
            person.id,
            f"I have no {what} noted yet: note it when you eat it; after {FIRST_SERVINGS} meals with a curve "
            "I can begin to say what it does.",
        )
    ids = {m.id for m in meals}
    servings = servings_between(tx, person, meals[0].at - _SHARED, meals[-1].at + _SHARED)
    scores = [f"{s.evenness.score:.0f}" for s in servings if ids & {*s.entry_ids} and s.evenness is not None]
    count = numbers.count(len(meals), "serving")
    if not scores:
        return Outgoing(
            person.id,
            f"I have {count} of {what}, none with a curve yet: please sync and send me the readings; "
            f"after {FIRST_SERVINGS} I can begin to say what it does.",
        )
    said = f"The meals with it scored {join(scores[-MOST_SCORES:])}." if person.scores else ""
    if len(scores) >= NEED_SERVINGS:
        return Outgoing(
            person.id,
            f"I have {count} of {what}, {len(scores)} with a curve. {said} What of it is the {what} and "
            f"what the rest of the plate, I can't part yet; “compare {what} and toast” sets two foods "
            "side by side.",
        )
    return Outgoing(
        person.id,
        f"I have {count} of {what}, {len(scores)} with a curve; from {NEED_SERVINGS} on I can say "
        f"something. {said}",
    )


def say_other_habit(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say of a habit that is not judged how many meals there are with it and without."""
    from bot.frames.servings import servings_between

    if not question.subject:
        return Outgoing(person.id, WHICH_HABIT)
    meals = tx.log.between(person.id, ("meal",), question.since, None)
    if not meals:
        return Outgoing(
            person.id,
            f"I have no meals noted yet; from {NEED_EACH} with it and {NEED_EACH} without, each with a "
            f"curve, I can compare them.",
        )
    servings = [
        s for s in servings_between(tx, person, meals[0].at, meals[-1].at + _MINUTE) if s.evenness is not None
    ]
    what = question.subject
    stem = what.split()[0].rstrip("s").removesuffix("ing") if what else ""
    moved = [
        s for s in servings if any(stem and activity.startswith(stem[:4]) for _, _, activity in s.activities)
    ]
    held = {m.id for m in meals if isinstance(m.entry, Meal) and names(what, m.entry)}
    with_it = len(moved) or sum(bool(held & {*s.entry_ids}) for s in servings)
    without = len(servings) - with_it
    return Outgoing(
        person.id,
        f"I have {numbers.count(with_it, 'meal')} with {what} and {without} without, counting those with "
        f"a curve; from {NEED_EACH} each "
        f"on a comparison means something. “Compare porridge with and without a walk” sets two kinds side "
        f"by side.",
    )
