"""Answers to “what made this one climb?” and “half the rice next time?”: the food model on one plate."""

import re
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bot.answers.drives import LOOK_BACK, judge_asked
from bot.answers.foods_meant import foods_meant
from bot.answers.meals import answer_one_meal, find_meal
from bot.answers.not_yet import say_whole
from bot.model.entries import Question
from bot.model.messages import Outgoing
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from bot.frames.rows import Occasions

NEED_OTHERS = 3
"""Other meals with a curve of their own, from which on a meal is explained."""
NEED = 2
SLOTS = ("breakfast", "lunch", "dinner", "snack")
ALIKE = 0.03
"""A portion nearer to the usual one is that."""
SMALLER, BIGGER = 2 / 3, 1.5
"""What a smaller and a bigger portion are taken to be where nobody says how much (judgement)."""
_SHARES: tuple[tuple[str, float], ...] = (
    (r"one and a half|1\.5|half as much again|half more", 1.5),
    (r"three quarters|3/4|75 ?%|a quarter less", 0.75),
    (r"two thirds|2/3|a third less", 2 / 3),
    (r"quarter|1/4|25 ?%", 0.25),
    (r"third|1/3", 1 / 3),
    (r"half|halve|halved|halving|1/2|50 ?%", 0.5),
    (r"double|doubled|doubling|twice|two times|2x", 2.0),
    (r"triple|three times|thrice", 3.0),
    (r"bigger|larger|more|another|seconds|increase|increased|extra", BIGGER),
)
_GRAMS = re.compile(r"\b(\d+(?:\.\d+)?) ?(?:g|grams?|gr)\b(?! (?:less|fewer|more))")


def say_why(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what made a meal climb by the model's own parts, beside its curve."""
    from analysis.foods.explained import explain
    from bot.frames.rows import rows_between
    from bot.frames.servings import occasion_of
    from bot.reply.results_meal import explained

    logged = find_meal(tx, person, question, now)
    curve = answer_one_meal(tx, person, question, now)
    shared = None if logged is None else occasion_of(tx, person, logged)
    if shared is None or shared[0].curve is None:
        return curve  # it says what is missing
    serving = shared[0]
    since = min(serving.at, now) - LOOK_BACK
    occasions = rows_between(tx, person, since, now + timedelta.resolution)
    place = next((k for k, row in enumerate(occasions.rows) if row.entry_id == serving.entry_id), None)
    if place is None:
        why = next((why for other, why in occasions.left_out if other.entry_id == serving.entry_id), "")
        said = f"What drove it I can't part: {why}." if why else "What drove it I can't part."
    elif len(occasions.rows) <= NEED_OTHERS:
        said = (
            "What drove it I can't part yet: that takes a few more meals with a curve of their own. The same "
            "plate once more, with a walk after it, would be a start."
        )
    else:
        found = explain(occasions.rows, place)
        text = explained(
            found, serving.title, serving.at, occasions.names, zone=person.zone, unit=person.unit, now=now
        )
        return replace(curve, text=text)
    return replace(curve, text=f"{curve.text}\n{said}")


def say_portion(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what half the rice, a smaller bowl or 150 g of it would do."""
    from analysis.foods.contrasts import change_portion
    from bot.reply.results_meal import portion, seen_once, usual_portion

    judged = judge_asked(tx, person, question, now)
    food = "" if judged is None else _find_food(judged.occasions, question.subject)
    if judged is None or not food:
        return say_whole(tx, person, replace(question, subject=question.subject or "meal"), now)
    name, one = judged.occasions.names[food], judged.of([food])[0]
    if one.occasions < NEED:
        return Outgoing(person.id, seen_once(name))
    grams = read_grams(question.said, one.grams)
    if abs(grams / one.grams - 1) < ALIKE:
        return Outgoing(person.id, usual_portion(name, one.grams), picture=judged.picture("portion", name))
    text = portion(change_portion(judged.fit, food, grams), judged.occasions.names, person.unit)
    return Outgoing(person.id, text, picture=judged.picture("portion", name))


def read_grams(said: str, usual: float) -> float:
    """Return the portion that words ask about; one smaller than the usual one where they say no amount.

    >>> read_grams("half the couscous next time?", 200), read_grams("150 g rice instead?", 200)
    (100.0, 150.0)
    """
    words = said.lower()
    told = _GRAMS.search(words)
    if told is not None and float(told[1]) > 0:
        return float(told[1])
    share = next((share for way, share in _SHARES if re.search(rf"(?<![\w.]){way}(?!\w)", words)), SMALLER)
    return share * usual


def _find_food(occasions: "Occasions", subject: str) -> str:
    """Return the food that a question means; where it names none, the last meal's with most carbs."""
    rows = occasions.rows
    if not subject or subject in SLOTS:
        meals = [row for row in rows if subject in ("", row.slot)]
        most = max(meals[-1].eaten, key=lambda e: e.carbs_g, default=None) if meals else None
        return "" if most is None else most.food
    return next(iter(foods_meant(subject, occasions)), "")
