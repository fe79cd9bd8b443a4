"""What was noted, as frames: meals, movement, nights."""

from collections.abc import Sequence
from datetime import datetime

import pandas as pd

from analysis.columns import SLEEP
from analysis.ranking import meal_key
from bot.frames.nights import sleep_between
from bot.model.entries import Activity, Meal
from bot.model.naming import title
from bot.store import Logged, Person, Transaction


def meals_frame(meals: Sequence[Logged]) -> pd.DataFrame:
    """Return the MEALS frame of logged meals."""
    rows = []
    for logged in meals:
        meal = logged.entry
        assert isinstance(meal, Meal)
        key = meal_key((item.food or item.name, item.grams) for item in meal.items)
        rows.append((logged.id, logged.at, meal.slot, title(meal), key, meal.nutrients.carbs_g))
    frame = pd.DataFrame(rows, columns=["entry_id", "at", "slot", "title", "key", "carbs_g"])
    return frame.assign(at=instants(frame["at"]), carbs_g=frame["carbs_g"].astype(float))


def activities_frame(activities: Sequence[Logged]) -> pd.DataFrame:
    """Return the ACTIVITIES frame of logged movement; an unknown length counts as 0 minutes."""
    rows = [
        (logged.at, logged.entry.minutes or 0.0, logged.entry.what)
        for logged in activities
        if isinstance(logged.entry, Activity)
    ]
    frame = pd.DataFrame(rows, columns=["at", "minutes", "what"])
    return frame.assign(at=instants(frame["at"]), minutes=frame["minutes"].astype(float))


def instants(column: "pd.Series[datetime]") -> "pd.Series[pd.Timestamp]":
    """Return instants as all frames hold them: microseconds, UTC."""
    return pd.to_datetime(column, utc=True).astype("datetime64[us, UTC]")


def frame_of(rows: Sequence[tuple[object, ...]], columns: dict[str, str]) -> pd.DataFrame:
    """Return a frame of rows with the columns and types that `analysis.columns` names."""
    frame = pd.DataFrame(rows, columns=list(columns))
    of_time = {name: instants(frame[name]) for name in columns if name.endswith("at")}
    return frame.assign(**of_time).astype({n: t for n, t in columns.items() if n not in of_time})


def sleep_frame(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> pd.DataFrame:
    """Return the SLEEP frame of the nights that begin in [since, until), both ends known."""
    return frame_of(sleep_between(tx, person.id, since, until), SLEEP)
