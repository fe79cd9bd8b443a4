"""When one eats: occasions, first and last, the window between them, the longest time without.

Meals within half an hour of each other are one occasion; it is about when one eats, so it asks less than an
occasion that shares a curve (`analysis.occasions`). A drink with less than 5 g of carbohydrate (water,
black coffee) is none. A day of eating runs from 4:00 to 4:00 by the local clock, so that what is eaten after
midnight belongs to the evening (both common practice, no source).
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import LOCAL_MEALS, check_columns
from analysis.ranking import TRACE_G

TOGETHER_MIN = 30.0
DAY_STARTS_MIN = 240.0
UNLOGGED_H = 24.0
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
Days = NDArray[np.datetime64]


@dataclass(frozen=True, slots=True)
class EatingDay:
    """One day's occasions. first, last: first bites; first_min, last_min: by the local clock (min of the day,
    above 1440 after midnight)

    window_h: from the first to the last (hours that passed, whatever the clock did)
    longest_gap_h: the longest time without eating that ended on this day, the night before included where
    the day before has a meal; None for a single occasion with nothing before
    bites_min: the first bites of all occasions, as `first_min`
    """

    day_on: date
    occasions: int
    first: datetime
    last: datetime
    first_min: float
    last_min: float
    window_h: float
    longest_gap_h: float | None
    bites_min: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Eating:
    """Each day with meals, and the medians over them (None without days).

    longest_gap_h: over the days whose night before is known
    between_h: the time between two occasions of a day, over the days with more than one
    """

    days: tuple[EatingDay, ...]
    occasions: float | None
    first_min: float | None
    last_min: float | None
    window_h: float | None
    longest_gap_h: float | None
    between_h: float | None


def counts_as_eating(meals: pd.DataFrame) -> pd.Series:
    """Tell for each meal whether it is eating: not a drink known to hold less than 5 g of carbohydrate."""
    return ~((meals["slot"] == "drink") & (meals["carbs_g"] < TRACE_G))


def find_eating_days(meals: pd.DataFrame, day_starts_min: float = DAY_STARTS_MIN) -> Days:
    """Return the day of eating of each meal of a LOCAL_MEALS frame: before 4:00 it is the one before."""
    early = meals["minute"].to_numpy(dtype=np.float64) < day_starts_min
    days: Days = meals["day_on"].to_numpy(dtype="datetime64[D]") - early.astype("timedelta64[D]")
    return days


def describe_eating(meals: pd.DataFrame, *, day_starts_min: float = DAY_STARTS_MIN) -> Eating:
    """Return the occasions of each day of a LOCAL_MEALS frame (rows in any order).

    day_starts_min: the minute of the local clock at which a day of eating begins
    """
    check_columns(meals, LOCAL_MEALS)
    frame = meals[counts_as_eating(meals)].sort_values(["at", "entry_id"]) if len(meals) else meals
    if frame.empty:
        return Eating((), None, None, None, None, None, None)
    at_min = frame["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6
    new = np.append(True, np.diff(at_min) > TOGETHER_MIN)
    day = find_eating_days(frame, day_starts_min)
    late = 1440.0 * (day != frame["day_on"].to_numpy(dtype="datetime64[D]"))
    at_min, day, clock = at_min[new], day[new], (frame["minute"].to_numpy(dtype=np.float64) + late)[new]
    gaps = np.append(np.nan, np.diff(at_min)) / 60
    gaps[gaps > UNLOGGED_H] = np.nan
    days = []
    for start, stop in _spans(day):
        own = gaps[start:stop]
        days.append(
            EatingDay(
                day_on=day[start].item(),
                occasions=stop - start,
                first=_EPOCH + timedelta(minutes=at_min[start]),
                last=_EPOCH + timedelta(minutes=at_min[stop - 1]),
                first_min=float(clock[start]),
                last_min=float(clock[stop - 1]),
                window_h=float(at_min[stop - 1] - at_min[start]) / 60,
                longest_gap_h=None if np.isnan(own).all() else float(np.nanmax(own)),
                bites_min=tuple(clock[start:stop].tolist()),
            )
        )
    between = [d.window_h / (d.occasions - 1) for d in days if d.occasions > 1]
    with_night = [gaps[start:stop] for start, stop in _spans(day) if not np.isnan(gaps[start])]
    known = [float(np.nanmax(own)) for own in with_night]
    return Eating(
        tuple(days),
        float(np.median([d.occasions for d in days])),
        float(np.median([d.first_min for d in days])),
        float(np.median([d.last_min for d in days])),
        float(np.median([d.window_h for d in days])),
        float(np.median(known)) if known else None,
        float(np.median(between)) if between else None,
    )


def _spans(day: Days) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.append(True, day[1:] != day[:-1])).tolist()
    return list(zip(edges, [*edges[1:], day.size], strict=True))
