"""Occasions with their readings, movement and neighbours, as `analysis.servings` measures them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import pandas as pd

from analysis.kept import once
from analysis.ranking import same_meal
from analysis.results import Serving
from analysis.rises import UnexplainedRise, find_unexplained_rises
from analysis.servings import AFTER_MIN, BEFORE_MIN, build_servings
from bot.frames.notes import activities_frame, meals_frame
from bot.frames.occasions import CLOSE, SITTING, foods_around, is_food, join_notes
from bot.frames.readings import part_readings, readings_of
from bot.frames.sensors import dips_in, sensors_frame
from bot.model.entries import Meal
from bot.model.naming import title
from bot.store import Logged, Person, Transaction

BEFORE = timedelta(hours=2)
AFTER = timedelta(hours=6)
AROUND = timedelta(hours=4)
"""How far from a meal another one may shape its measures: as long as the late ones look (four hours)."""
REACHES = (CLOSE, timedelta(hours=24))
"""So far away the curve of a note may begin; it is the farther one for who grazes for hours."""
HIDDEN = "scores are hidden"
SAME_MEAL_OF = timedelta(days=60)
"""So far back earlier servings of the same meal are looked for."""


def as_shown(person: Person, serving: Serving) -> Serving:
    """Return a serving as it is shown to a person: without its score where they hid scores."""
    if person.scores or serving.evenness is None:
        return serving
    return replace(serving, evenness=None, why_not=HIDDEN)


def servings_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> tuple[Serving, ...]:
    """Return the occasions whose curve begins in [since, until), each with its curve or why it has none.

    Notes that share a curve are one serving. Meals `AROUND` the span are looked at as neighbours, so that a
    meal has the same curve whichever span it is asked for in.
    """
    return tuple(serving for serving, _ in occasions_between(tx, person, since, until))


def occasions_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> list[tuple[Serving, Logged]]:
    """Return each serving of `servings_between` with its notes as one meal, under its id and at its time."""
    meals = foods_around(tx, person, since - AROUND, until + AROUND)
    if not meals:
        return []
    every = _measure(tx, person, meals[0].at, meals[-1].at)
    return [one for one in every if since <= one[0].at < until]


@once
def _measure(
    tx: Transaction, person: Person, first_at: datetime, last_at: datetime
) -> Sequence[tuple[Serving, Logged]]:
    """Return the occasions of all notes of food from one to another."""
    noted = tx.log.between(person.id, ("meal",), first_at, last_at + timedelta.resolution)
    meals = [logged for logged in noted if is_food(logged)]
    start, end = first_at - BEFORE, last_at + AFTER
    activities = tx.log.between(person.id, ("activity",), start, end)
    readings, pricks = part_readings(tx, person, start, end)
    every = build_servings(
        meals_frame(meals),
        readings,
        activities_frame(activities),
        sensors=sensors_frame(tx, person),
        dips=dips_in(tx, person, readings, start, end),
    )
    notes = {meal.id: meal for meal in meals}
    found = []
    for serving in every:
        meal = join_notes([notes[one] for one in serving.entry_ids], serving.entry_id)
        if serving.notes and isinstance(meal.entry, Meal):
            serving = replace(serving, title=title(meal.entry))
        found.append((serving if pricks.empty else _add_pricks(serving, pricks), meal))
    return found


def _add_pricks(serving: Serving, pricks: pd.DataFrame) -> Serving:
    """Return a serving with the typed readings that were taken around it beside a sensor's."""
    minutes = (pricks["at"] - serving.at) / pd.Timedelta(minutes=1)
    around = minutes.between(-BEFORE_MIN, AFTER_MIN)
    found = zip(minutes[around].tolist(), pricks["mmol"][around].tolist(), strict=True)
    return replace(serving, pricks=tuple(found))


def occasion_of(tx: Transaction, person: Person, logged: Logged) -> tuple[Serving, Logged] | None:
    """Return the occasion that a note belongs to; None for one that is not scored, and within no other's."""
    if logged.removed_at is not None:
        return None
    for reach in REACHES:
        found = occasions_between(tx, person, logged.at - reach, logged.at + reach)
        shared = [one for one in found if logged.id in one[0].entry_ids]
        if shared or not is_food(logged):
            break
    late = [one for one in found if any(timedelta(0) <= logged.at - at <= SITTING for at in _bites(one[0]))]
    return next(iter(shared or late[-1:]), None)


def meal_of(tx: Transaction, serving: Serving) -> Logged:
    """Return the notes of a serving as one meal, under its id and at its time."""
    notes = [note for note in map(tx.log.get, serving.entry_ids) if note is not None]
    return join_notes(notes, serving.entry_id)


def _bites(serving: Serving) -> list[datetime]:
    """Return the first bite of each of its notes."""
    minutes = [note.minute for note in serving.notes] or [0.0]
    return [serving.at + timedelta(minutes=minute) for minute in minutes]


def serving_of(tx: Transaction, person: Person, logged: Logged) -> tuple[Serving, tuple[Serving, ...]] | None:
    """Return the serving that a note is of, and the earlier servings of the same meal in the 60 days before.

    None where the meal is not scored.
    """
    found = occasion_of(tx, person, logged)
    if found is None:
        return None
    at = found[0].at
    *earlier, this = servings_between(tx, person, at - SAME_MEAL_OF, at + timedelta.resolution)
    return this, tuple(s for s in earlier if same_meal(s, this))


def rises_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> tuple[UnexplainedRise, ...]:
    """Return the rises in [since, until) that no logged meal explains."""
    readings = readings_of(tx, person, since, until, "file")
    if readings.empty:
        return ()
    meals = tx.log.between(person.id, ("meal",), since - BEFORE, until)
    dips = dips_in(tx, person, readings, since, until)
    return find_unexplained_rises(readings, meals_frame(meals), dips=dips)
