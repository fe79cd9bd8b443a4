"""A run of days at a glance: what of each day was read, what was eaten, which nights are lost.

A night is the sleep that ended on a day; where none was noted it is midnight to 6:00 by the local clock. It
counts as lost when readings cover less than half of it (both common practice, no source).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from analysis.columns import LOCAL_READINGS, check_columns
from analysis.results import Floats
from analysis.wear import GAP_INTERVALS

DAY_MIN = 1440.0
NIGHT = (0.0, 360.0)
LOST_SHARE = 0.5

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class RunDay:
    """One local day of a run. All minutes are of that day, 0 to 1440.

    covered: stretches that readings cover; share: of the day that they cover, 0 to 1
    meals: (minute, whether it has a score); sensors: minutes at which one was put on
    night: the stretch of this day in which one slept, or would; night_lost: too little of it was read
    """

    day_on: date
    covered: tuple[Span, ...]
    share: float
    meals: tuple[tuple[float, bool], ...]
    sensors: tuple[float, ...]
    night: Span
    night_lost: bool


def describe_run(
    readings: pd.DataFrame,
    days: Sequence[date],
    *,
    interval_min: float,
    meals: Mapping[date, Sequence[tuple[float, bool]]],
    sensors: Mapping[date, Sequence[float]],
    nights: Mapping[date, Span],
    parts: Mapping[date, Span],
) -> tuple[RunDay, ...]:
    """Return the days of a run, in their order.

    Parameters
    ----------
    readings: LOCAL_READINGS, rows in any order; out of its range a sensor was read, too.
    interval_min: how far apart the sensor's readings are.
    meals, sensors: by the day, as `RunDay` has them.
    nights: by the day, the sleep that was noted; other nights are `NIGHT`.
    parts: of days that count in part (the first and the last), from and up to which minute.
    """
    check_columns(readings, LOCAL_READINGS)
    by_day = {
        day.date(): np.sort(of["minute"].to_numpy(dtype=np.float64))
        for day, of in ((pd.Timestamp(str(key)), pd.DataFrame(of)) for key, of in readings.groupby("day_on"))
    }
    found = []
    for day in days:
        start, end = parts.get(day, (0.0, DAY_MIN))
        before = by_day.get(day - timedelta(days=1), np.empty(0))
        covered = cover(by_day.get(day, np.empty(0)), before, interval_min, end)
        night = nights.get(day, NIGHT)
        asleep = (max(night[0], start), min(night[1], end))
        long = asleep[1] - asleep[0]
        found.append(
            RunDay(
                day_on=day,
                covered=covered,
                share=min(1.0, _inside(covered, (start, end)) / (end - start)) if end > start else 0.0,
                meals=tuple(sorted(meals.get(day, ()))),
                sensors=tuple(sorted(sensors.get(day, ()))),
                night=night,
                night_lost=long > 0 and _inside(covered, asleep) / long < LOST_SHARE,
            )
        )
    return tuple(found)


def cover(minutes: Floats, before: Floats, interval_min: float, end: float = DAY_MIN) -> tuple[Span, ...]:
    """Return the stretches of a day that readings cover, each the interval that it begins.

    minutes: of this day, before: of the day before, both sorted; end: up to where the day has come

    >>> cover(np.array([5.0, 10.0, 40.0]), np.array([1438.0]), 5)
    ((0.0, 15.0), (40.0, 45.0))
    """
    carried = before[-1:] - DAY_MIN
    every = np.concatenate([carried[carried > -GAP_INTERVALS * interval_min], minutes[minutes < end]])
    spans: list[Span] = []
    for minute in every.tolist():
        stop = min(minute + interval_min, end)
        if spans and minute - (spans[-1][1] - interval_min) <= GAP_INTERVALS * interval_min:
            spans[-1] = (spans[-1][0], stop)
        else:
            spans.append((minute, stop))
    return tuple((max(start, 0.0), stop) for start, stop in spans if stop > 0)


def _inside(spans: Sequence[Span], within: Span) -> float:
    """Return how many minutes of a stretch the spans fill."""
    return sum(max(0.0, min(stop, within[1]) - max(start, within[0])) for start, stop in spans)
