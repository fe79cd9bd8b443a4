"""Plays a month on the whole bot by a set clock: what is due comes in between, questions are answered."""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial

from bot.foodtable import load_table
from bot.model.entries import Activity, Meal
from bot.model.messages import Outgoing
from bot.understanding import Context, understand
from tests.month.script import FILE, SENSORS, ZONE, Step, at, day_of, month
from tests.simulate import MEMORY, rises_of, trace
from tests.talk import Talk, talking

ANSWERS_AFTER = timedelta(minutes=1)
SYNCS_WHEN_ASKED = timedelta(minutes=6)
MISSED, SYNCS_ANYWAY = timedelta(hours=7), timedelta(minutes=70)
"""Who is asked syncs when the last one is longer ago than the first and none is coming within the second."""
PRESSED = ("answer:", "nofood:")
"""The buttons of questions that get an answer: the middle amount; no food."""


@dataclass(slots=True)
class Said:
    """One message of the bot, and on which day of the month it came."""

    at: datetime
    message: Outgoing

    @property
    def day(self) -> int:
        return day_of(self.at)


@dataclass(slots=True)
class Month:
    """What both sides said; at the end, which meals stand in the log and how many readings are on record."""

    steps: list[Step]
    said: list[Said] = field(default_factory=list)
    meals: list[Meal] = field(default_factory=list)
    readings: int = 0


def play_month(talk: Talk, steps: Sequence[Step]) -> Month:
    """Say all steps to a bot; the clock moves from one to the next, through what falls due."""
    played = Month([])
    rows = _readings(steps)
    for step in steps:
        _wait(talk, step.at, played, rows)
        _say(talk, step, played, rows)
    played.meals = [one.entry for one in talk.meals() if isinstance(one.entry, Meal)]
    with talk.app.store.read() as tx:
        played.readings = tx.readings.count(talk.person)
    return played


def _wait(talk: Talk, until: datetime, played: Month, rows: list[tuple[datetime, float]]) -> None:
    """Let happen what falls due; a forgotten sync is made up for a few minutes after the bot asked."""
    while (due_at := talk.app.next_due_at()) is not None and due_at <= until:
        talk.clock.move_to(max(due_at, talk.clock.now()))
        asked = _keep(talk, played, talk.tick)
        last = max((s.at for s in played.steps if s.kind == "sync"), default=None)
        wants = any(button.data == "synced" for message in asked for button in message.buttons)
        back_at = talk.clock.now() + SYNCS_WHEN_ASKED
        is_missed = last is not None and back_at - last > MISSED and until - back_at > SYNCS_ANYWAY
        if wants and is_missed:
            _say(talk, Step(back_at.astimezone(ZONE), FILE, "sync"), played, rows)


def _say(talk: Talk, step: Step, played: Month, rows: list[tuple[datetime, float]]) -> None:
    talk.clock.move_to(max(step.at.astimezone(UTC), talk.clock.now()))
    played.steps.append(step)
    if step.text == FILE:
        answers = _keep(talk, played, partial(talk.file, _file(rows, step.at)))
    else:
        answers = _keep(talk, played, partial(talk.say, step.text))
    for message in answers:
        asked = [button for button in message.buttons if button.data.startswith(PRESSED)]
        if asked:
            talk.clock.move_to(talk.clock.now() + ANSWERS_AFTER)
            _keep(talk, played, partial(talk.press, asked[len(asked) // 2].label))


def _keep(talk: Talk, played: Month, do: Callable[[], object]) -> list[Outgoing]:
    """Do one thing in the talk and keep what the bot said to it."""
    before = len(talk.heard)
    do()
    new = talk.heard[before:]
    played.said += [Said(talk.clock.now(), message) for message in new]
    return new


def _readings(steps: Sequence[Step]) -> list[tuple[datetime, float]]:
    """Return all that the two sensors measure in the month, by what is eaten and walked in it."""
    table, rng = load_table(), random.Random("month")
    meals: list[Meal] = []
    walks: list[Activity] = []
    for step in steps:
        if step.kind == "meal" or step.text.startswith("walked"):
            for entry in understand(step.text, Context(now=step.at, zone=ZONE, table=table)).entries:
                if isinstance(entry, Meal):
                    meals.append(entry)
                elif isinstance(entry, Activity):
                    walks.append(entry)
    rises = rises_of(meals, walks, rng)
    rows: list[tuple[datetime, float]] = []
    for on, off in SENSORS:
        start = at(0, "0:00") + on + timedelta(hours=1)
        end = steps[-1].at if off is None else at(0, "0:00") + off
        for day in range((end - start).days + 1):  # day by day, with the rises that can still be seen
            begins = start + timedelta(days=day)
            near = [r for r in rises if timedelta(hours=-8) < r.at - begins < timedelta(days=1)]
            stops = min(end, begins + timedelta(days=1) - timedelta(minutes=5))
            rows += trace(near, begins, stops, rng)
    return rows


def _file(rows: Sequence[tuple[datetime, float]], when: datetime) -> str:
    """Return the file that a sensor with a memory of eight hours gives then."""
    held = [(stamp, mmol) for stamp, mmol in rows if when - MEMORY <= stamp <= when]
    lines = [f"{stamp.astimezone(ZONE):%Y-%m-%d %H:%M},{mmol:.1f}" for stamp, mmol in held]
    return "\n".join(["time,glucose mmol/L", *lines])


def played_month(days: int | None = None) -> Month:
    """Play the month, or its first days, on a fresh bot."""
    steps = [step for step in month() if days is None or day_of(step.at) <= days]
    with talking(start=steps[0].at, talk="short") as talk:
        return play_month(talk, steps)
