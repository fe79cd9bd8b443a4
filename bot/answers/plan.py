"""Answers to “what is worth trying?”: the next servings that tell most, and where in the run one is."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bot.answers.avoided import find_avoided, is_treated
from bot.model.entries import Fact, Question, Sensor
from bot.model.messages import Outgoing
from bot.reminders.stages import BETWEEN_SENSORS, USUAL_SENSORS, runs_of
from bot.store import Person, Transaction

if TYPE_CHECKING:  # loading numpy can wait for the first such question
    from analysis.plan.candidates import Limits
    from analysis.plan.phases import Run
    from analysis.plan.suggest import Plan
    from bot.frames.rows import Occasions

LOOK_BACK = timedelta(days=60)
"""What was eaten longer ago is not suggested."""
SLOTS = ("breakfast", "lunch", "dinner", "snack", "drink")


def say_plan(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say what would tell most next, of one meal of the day where one is named."""
    slot = question.subject if question.subject in SLOTS else ""
    return say_plan_of(tx, person, now, slot)


def say_plan_of(
    tx: Transaction, person: Person, now: datetime, slot: str = "", *,
    since: datetime | None = None, until: datetime | None = None,
) -> Outgoing:  # fmt: skip
    """Say what would tell most next, by what was eaten in [since, until)."""
    from bot.reply.results_plan import say

    found, occasions, run = find_plan(tx, person, now, slot, since=since, until=until)
    treated = is_treated(tx.facts.all(person.id))
    return Outgoing(person.id, say(found, occasions.names, person.unit, run, slot=slot, treated=treated))


def find_plan(
    tx: Transaction, person: Person, now: datetime, slot: str = "", *,
    since: datetime | None = None, until: datetime | None = None,
) -> "tuple[Plan, Occasions, Run | None]":  # fmt: skip
    """Return the plan, the occasions it is made from ([since, until), else the last 60 days), and the run."""
    from analysis.plan.suggest import make_plan
    from bot.frames.rows import rows_between

    facts = tx.facts.all(person.id)
    end = now + timedelta.resolution if until is None else until
    occasions = rows_between(tx, person, now - LOOK_BACK if since is None else since, end)
    run = find_run(tx, person, now)
    trial = tx.trials.running(person.id)
    limits = replace(limit(facts, occasions), tested=() if trial is None else trial.plates)
    return make_plan(occasions.rows, limits, run, slot=slot), occasions, run


def limit(facts: list[Fact], occasions: "Occasions") -> "Limits":
    """Return what may be suggested to somebody who said this of themselves."""
    from analysis.plan.candidates import AS_USUAL, Limits
    from bot.reply.results_plan import LEVERS

    avoided = find_avoided(facts, occasions.said.items())
    if is_treated(facts):
        return Limits(avoided, AS_USUAL)
    done = {name for row in occasions.rows for name, amount in row.levers.items() if amount > 0}
    return Limits(avoided, levers=[name for name in LEVERS if name in done])


def find_run(tx: Transaction, person: Person, now: datetime) -> "Run | None":
    """Return the run that somebody is in: from the first of their sensors on; None without one.

    It is two sensors long, or as long as those that were put on one after the other.
    """
    from analysis.plan.phases import LEAST_DAYS, MOST_DAYS, Run

    starts = [
        one.at
        for one in tx.log.between(person.id, ("sensor",), None, now + timedelta.resolution)
        if isinstance(one.entry, Sensor) and one.entry.what == "started"
    ]
    lasts = timedelta(days=person.sensor_days) + BETWEEN_SENSORS
    if not starts or now - starts[-1] > lasts:
        return None
    run = runs_of(starts, person.sensor_days)[-1]
    began, today = (at.astimezone(person.zone).date() for at in (run[0], now))
    days = min(max(len(run), USUAL_SENSORS) * person.sensor_days, MOST_DAYS)
    return Run((today - began).days + 1, max(days, LEAST_DAYS))
