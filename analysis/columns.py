"""The frames that the analyses read: column names and dtypes, and the check that a frame has them.

MEALS       one row a meal: entry_id, at (first bite), slot, title (its foods in words), key (as
            `analysis.ranking.meal_key` gives it), carbs_g (available carbohydrate, NaN = not known)
READINGS    one row a reading: at, mmol (mmol/L), flag ("", "low limit" or "high limit")
ACTIVITIES  one row a movement: at (its start), minutes (NaN = not said), what
SYNCS       one row a sync (the sensor's memory read out): at
SENSORS     one row a sensor: entry_id, started_at, ended_at (NaT = still worn), interval_min, memory_h
SLEEP       one row a night or nap: from_at, to_at

Analyses by the day need to know the person's own days. They take the same frames with two more columns,
`LOCAL`: day_on (the local date, as its naive midnight) and minute (of that day by the local clock, 0 to
1440); `add_local` makes them for one zone, and frames of several zones (a journey) are simply put together.

Rows may come in any order. A frame of rows in the order of the columns is made so:

>>> import pandas as pd
>>> at = pd.Timestamp("2026-03-02 06:10", tz="UTC")
>>> frame = pd.DataFrame([(at, 5.4, "")], columns=list(READINGS)).astype(READINGS)
>>> check_columns(frame, READINGS)
"""

from collections.abc import Mapping
from datetime import tzinfo

import pandas as pd

INSTANT = "datetime64[us, UTC]"
DAY = "datetime64[us]"
MEALS = {
    "entry_id": "int64",
    "at": INSTANT,
    "slot": "str",
    "title": "str",
    "key": "str",
    "carbs_g": "float64",
}
READINGS = {"at": INSTANT, "mmol": "float64", "flag": "str"}
ACTIVITIES = {"at": INSTANT, "minutes": "float64", "what": "str"}
SYNCS = {"at": INSTANT}
SENSORS = {
    "entry_id": "int64",
    "started_at": INSTANT,
    "ended_at": INSTANT,
    "interval_min": "float64",
    "memory_h": "float64",
}
SLEEP = {"from_at": INSTANT, "to_at": INSTANT}
LOCAL = {"day_on": DAY, "minute": "float64"}
LOCAL_READINGS = {**READINGS, **LOCAL}
LOCAL_MEALS = {**MEALS, **LOCAL}
OPEN = frozenset({"ended_at"})
"""Instants that may be unknown."""


def add_local(frame: pd.DataFrame, zone: tzinfo) -> pd.DataFrame:
    """Return a frame with its `LOCAL` columns, by the clock of one zone.

    Days are dates of the local calendar, so that a day without a midnight (clocks put forward at 0:00) is
    still one day; the hour that comes twice in autumn counts twice in its clock bins.

    >>> from zoneinfo import ZoneInfo
    >>> at = pd.Series(pd.to_datetime(["2026-03-02 23:10"], utc=True)).astype(INSTANT)
    >>> frame = pd.DataFrame({"at": at, "mmol": 5.4, "flag": ""}).astype(READINGS)
    >>> add_local(frame, ZoneInfo("Europe/Vienna"))[["day_on", "minute"]].values.tolist()
    [[Timestamp('2026-03-03 00:00:00'), 10.0]]
    """
    wall = frame["at"].dt.tz_convert(zone).dt.tz_localize(None)
    day = wall.dt.normalize()
    return frame.assign(day_on=day.astype(DAY), minute=(wall - day) / pd.Timedelta(minutes=1))


def check_columns(frame: pd.DataFrame, columns: Mapping[str, str]) -> None:
    """Raise ValueError when a column is missing or of another dtype, or an instant is not known.

    A frame without rows needs only the names: pandas gives it dtypes of its own.
    """
    for name, dtype in columns.items():
        if name not in frame.columns:
            raise ValueError(f"column {name!r} is missing; there are {', '.join(map(str, frame.columns))}")
        found = str(frame[name].dtype)
        if len(frame) and found != dtype:
            raise ValueError(f"column {name!r} must be {dtype}, not {found}")
        if dtype in (INSTANT, DAY) and name not in OPEN and frame[name].isna().any():
            raise ValueError(f"column {name!r} has rows without an instant")
