"""Readings as frames: the sensor's, and the single ones beside it."""

from datetime import datetime

import numpy as np
import pandas as pd

from analysis.kept import once
from bot.store import Person, Transaction
from bot.store.records import Source

INTERVAL_MIN, SLOWEST_MIN = 5.0, 30.0
"""Between two readings of a sensor, where its readings do not show it, and the most that is believed."""
SINGLE: tuple[Source, ...] = ("typed", "meter")
SAME_PRICK = np.timedelta64(10, "m")
"""A typed reading this near to a sensor's belongs to a check of the sensor, not to the curve."""


def readings_frame(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> pd.DataFrame:
    """Return the READINGS frame: the sensor's, and single ones where the sensor has none."""
    return part_readings(tx, person, since, until)[0]


@once
def part_readings(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the readings of the curves, and the single ones that stand beside a sensor's."""
    sensor = readings_of(tx, person, since, until, "file")
    typed = readings_of(tx, person, since, until, *SINGLE)
    if sensor.empty or typed.empty:
        return (typed if sensor.empty else sensor), typed.iloc[:0]
    near = _near(typed, sensor)
    return pd.concat([sensor, typed[~near]]).sort_values("at", ignore_index=True), typed[near]


def _near(typed: pd.DataFrame, sensor: pd.DataFrame) -> "pd.Series[bool]":
    stamps, at = sensor["at"].to_numpy(), typed["at"].to_numpy()
    place = np.clip(np.searchsorted(stamps, at), 1, len(stamps)) - 1
    near = np.full(len(typed), False)
    for neighbour in (place, np.minimum(place + 1, len(stamps) - 1)):
        near |= np.abs(stamps[neighbour] - at) <= SAME_PRICK
    return pd.Series(near, index=typed.index)


@once
def readings_of(
    tx: Transaction, person: Person, since: datetime | None, until: datetime | None, *of: Source
) -> pd.DataFrame:
    """Return the READINGS frame of some sources."""
    seconds, mmol, flags = tx.readings.arrays(person.id, since, until, sources=of)
    at = pd.to_datetime(np.asarray(seconds, dtype="int64"), unit="s", utc=True)
    return pd.DataFrame(
        {"at": at.astype("datetime64[us, UTC]"), "mmol": np.asarray(mmol, dtype=float), "flag": flags}
    ).astype({"flag": "str"})


def find_interval(at: "pd.Series[pd.Timestamp]") -> float:
    """Return how far apart a sensor's readings are (min), judged by their usual distance."""
    apart = at.diff().dropna().dt.total_seconds() / 60
    return min(float(apart.median()), SLOWEST_MIN) if len(apart) else INTERVAL_MIN
