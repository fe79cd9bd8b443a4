"""Log entries and readings to the frames that `analysis` takes, exactly as `analysis.columns` says."""

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np
import pandas as pd

from analysis.ranking import meal_key, same_meal
from analysis.results import Serving
from analysis.servings import build_servings
from bot.entries import Activity, Meal
from bot.reply.words import title
from bot.store import Logged, Person, Unit
from bot.store.records import Source

BEFORE = timedelta(hours=2)
AFTER = timedelta(hours=6)
DRINK_CARBS_G = 5.0
"""A drink with less carbohydrate than this is no meal to be scored: coffee, water, tea."""
SAME_PRICK = np.timedelta64(10, "m")
"""A typed reading this near to a sensor's belongs to a check of the sensor, not to the curve."""


def servings_between(unit: Unit, person: Person, since: datetime, until: datetime) -> tuple[Serving, ...]:
    """Return the meals with a first bite in [since, until), each with its curve or why it has none."""
    meals = [m for m in unit.log.between(person.id, ("meal",), since, until) if is_food(m)]
    activities = unit.log.between(person.id, ("activity",), since - BEFORE, until + AFTER)
    return build_servings(
        meals_frame(meals),
        readings_frame(unit, person, since - BEFORE, until + AFTER),
        activities_frame(activities),
    )


def serving_of(unit: Unit, person: Person, logged: Logged) -> tuple[Serving, tuple[Serving, ...]]:
    """Return one meal's serving, and the earlier servings of the same meal in the 60 days before it."""
    since, until = logged.at - timedelta(days=60), logged.at + timedelta(microseconds=1)
    all_servings = servings_between(unit, person, since, until)
    this = next(s for s in all_servings if s.entry_id == logged.id)
    earlier = [s for s in all_servings if s.entry_id != this.entry_id and same_meal(s, this)]
    return this, tuple(earlier)


def is_food(logged: Logged) -> bool:
    """Tell whether an entry is a meal to be scored: some food of it is known, and it is not just water."""
    meal = logged.entry
    if not isinstance(meal, Meal) or not any(item.food for item in meal.items):
        return False
    return meal.slot != "drink" or (meal.nutrients.carbs_g or 0.0) >= DRINK_CARBS_G


def meals_frame(meals: Sequence[Logged]) -> pd.DataFrame:
    """Return the MEALS frame of logged meals."""
    rows = []
    for logged in meals:
        meal = logged.entry
        assert isinstance(meal, Meal)
        key = meal_key((item.name, item.grams) for item in meal.items)
        rows.append((logged.id, logged.at, meal.slot, title(meal), key, meal.nutrients.carbs_g))
    frame = pd.DataFrame(rows, columns=["entry_id", "at", "slot", "title", "key", "carbs_g"])
    return frame.assign(at=_instants(frame["at"]), carbs_g=frame["carbs_g"].astype(float))


def activities_frame(activities: Sequence[Logged]) -> pd.DataFrame:
    """Return the ACTIVITIES frame of logged movement; an unknown length counts as 0 minutes."""
    rows = [
        (logged.at, logged.entry.minutes or 0.0, logged.entry.what)
        for logged in activities
        if isinstance(logged.entry, Activity)
    ]
    frame = pd.DataFrame(rows, columns=["at", "minutes", "what"])
    return frame.assign(at=_instants(frame["at"]), minutes=frame["minutes"].astype(float))


def readings_frame(unit: Unit, person: Person, since: datetime, until: datetime) -> pd.DataFrame:
    """Return the READINGS frame: the sensor's, and typed ones where the sensor has none."""
    sensor = _readings(unit, person, since, until, "file")
    typed = _readings(unit, person, since, until, "typed")
    if sensor.empty or typed.empty:
        return typed if sensor.empty else sensor
    stamps = sensor["at"].to_numpy()
    place = np.clip(np.searchsorted(stamps, typed["at"].to_numpy()), 1, len(stamps)) - 1
    near = np.full(len(typed), False)
    for neighbour in (place, np.minimum(place + 1, len(stamps) - 1)):
        near |= np.abs(stamps[neighbour] - typed["at"].to_numpy()) <= SAME_PRICK
    return pd.concat([sensor, typed[~near]]).sort_values("at", ignore_index=True)


def _readings(unit: Unit, person: Person, since: datetime, until: datetime, source: Source) -> pd.DataFrame:
    seconds, mmol, flags = unit.readings.arrays(person.id, since, until, source=source)
    at = pd.to_datetime(np.asarray(seconds, dtype="int64"), unit="s", utc=True)
    return pd.DataFrame(
        {"at": at.astype("datetime64[us, UTC]"), "mmol": np.asarray(mmol, dtype=float), "flag": flags}
    ).astype({"flag": "str"})


def _instants(column: "pd.Series[datetime]") -> "pd.Series[pd.Timestamp]":
    return pd.to_datetime(column, utc=True).astype("datetime64[us, UTC]")
