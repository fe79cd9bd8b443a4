"""Occasions with their readings, movement and neighbours, as `analysis.servings` measures them."""

from dataclasses import replace
from datetime import datetime, timedelta

import pandas as pd

from analysis.ranking import same_meal
from analysis.results import Serving
from analysis.rises import UnexplainedRise, find_unexplained_rises
from analysis.servings import AFTER_MIN, BEFORE_MIN, build_servings
from bot.frames.notes import activities_frame, meals_frame
from bot.frames.occasions import occasion_of, occasions_between
from bot.frames.readings import part_readings, readings_of
from bot.frames.sensors import dips_in, sensors_frame
from bot.store import Logged, Person, Transaction

BEFORE = timedelta(hours=2)
AFTER = timedelta(hours=6)
AROUND = timedelta(hours=4)
"""How far from a meal another one may shape its measures: as long as the late ones look (four hours)."""
SAME_MEAL_OF = timedelta(days=60)
"""So far back earlier servings of the same meal are looked for."""


def servings_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> tuple[Serving, ...]:
    """Return the meals with a first bite in [since, until), each with its curve or why it has none.

    Notes of one eating occasion are one serving, that of the first of them. Meals `AROUND` the span are
    looked at as neighbours, so that a meal has the same curve whichever span it is asked for in.
    """
    start, end = since - AROUND, until + AROUND
    meals = occasions_between(tx, person, start, end)
    activities = tx.log.between(person.id, ("activity",), start - BEFORE, end + AFTER)
    readings, pricks = part_readings(tx, person, start - BEFORE, end + AFTER)
    every = build_servings(
        meals_frame(meals),
        readings,
        activities_frame(activities),
        sensors=sensors_frame(tx, person),
        dips=dips_in(tx, person, readings, start - BEFORE, end + AFTER),
    )
    servings = tuple(serving for serving in every if since <= serving.at < until)
    return servings if pricks.empty else tuple(_add_pricks(serving, pricks) for serving in servings)


def _add_pricks(serving: Serving, pricks: pd.DataFrame) -> Serving:
    """Return a serving with the typed readings that were taken around it beside a sensor's."""
    minutes = (pricks["at"] - serving.at) / pd.Timedelta(minutes=1)
    around = minutes.between(-BEFORE_MIN, AFTER_MIN)
    found = zip(minutes[around].tolist(), pricks["mmol"][around].tolist(), strict=True)
    return replace(serving, pricks=tuple(found))


def serving_of(tx: Transaction, person: Person, logged: Logged) -> tuple[Serving, tuple[Serving, ...]] | None:
    """Return one meal's serving, and the earlier servings of the same meal in the 60 days before it.

    None where the meal is not scored (`bot.frames.occasions`).
    """
    occasion = occasion_of(tx, person, logged)
    if occasion is None:
        return None
    since, until = occasion.at - SAME_MEAL_OF, occasion.at + timedelta.resolution
    *earlier, this = servings_between(tx, person, since, until)
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
