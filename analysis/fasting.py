"""Fasting glucose by the day, and whether it moves over weeks.

A day's fasting value is the mean of the readings in the half hour before its first meal (days run from 4:00
to 4:00, as in `analysis.eating`), when nothing was eaten for 8 hours before: the usual meaning of fasting
(from memory). It goes by what was eaten, not by the clock, so that it holds for shifts. A day without such a
meal takes the half hour before waking, when the sleep is logged and no meal within 8 hours before. Every
other day has no value, and `left_out` says why. Readings of dips that lying on the sensor may explain
(`analysis.nights`) are no fasting values.

The trend and each sensor's mean come from `analysis.trend`, which knows that mornings hang together and
that sensors of one person read unlike each other: a change of sensor is never a trend. Halves of a run are
not compared: with a sensor each they say more of the sensors than of the person.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import LOCAL_MEALS, LOCAL_READINGS, SENSORS, SLEEP, check_columns
from analysis.eating import counts_as_eating, find_eating_days
from analysis.errors import InsufficientData
from analysis.flags import DIP, UNFIT
from analysis.nights import NightDip
from analysis.pressed import find_spans, mark_pressed
from analysis.trend import Slope, find_slope

BEFORE_MIN = 30.0
FAST_H = 8.0
NEED_DAYS = 3
TREND_DAYS = 7
_US_MIN = 60_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
Instants = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class FastingDay:
    """One day's value (mmol/L), the mean of `n` readings before `at`; from_what: "first meal" or "waking".

    sensor: which sensor gave it (its entry_id), None where none is known
    """

    day_on: date
    mmol: float
    n: int
    at: datetime
    from_what: str
    sensor: int | None = None


@dataclass(frozen=True, slots=True)
class Fasting:
    """Fasting values over a run of days.

    mean_mmol: of all days; sd_mmol: from day to day within a sensor
    slope: of the values, with each sensor's mean; left_out: days that ate but have no value, and why
    sensor_changes: days on which another sensor begins
    """

    values: tuple[FastingDay, ...]
    mean_mmol: float
    sd_mmol: float
    slope: Slope
    left_out: dict[date, str]
    sensor_changes: tuple[date, ...]

    @property
    def trend(self) -> Slope | None:
        """The slope, once there are `TREND_DAYS` days to tell one by."""
        return self.slope if self.days >= TREND_DAYS else None

    @property
    def stepped_on(self) -> date | None:
        """The first day of a likely other level, where no change of sensor is noted."""
        step = None if self.trend is None else self.trend.step_at
        return None if step is None else self.values[step].day_on

    @property
    def days(self) -> int:
        """How many days have a value."""
        return len(self.values)


def describe_fasting(
    readings: pd.DataFrame,
    meals: pd.DataFrame,
    *,
    sleep: pd.DataFrame | None = None,
    sensors: pd.DataFrame | None = None,
    life_days: float = 14.0,
    dips: Sequence[NightDip] = (),
) -> Fasting:
    """Return the fasting values of LOCAL_READINGS and LOCAL_MEALS frames, with SLEEP and SENSORS where known.

    life_days: how long a sensor lasts: one that is said to last longer was changed without a note

    Raises InsufficientData with fewer than three days (`estimate` is their mean, where there is one).
    """
    values, left_out = find_fasting_days(readings, meals, sleep=sleep, sensors=sensors, dips=dips)
    mmol = np.array([v.mmol for v in values])
    if mmol.size < NEED_DAYS:
        estimate = float(mmol.mean()) if mmol.size else None
        raise InsufficientData("fasting glucose", mmol.size, NEED_DAYS, "days", estimate)
    strata = [v.sensor for v in values]
    of = [np.array([s == name for s in strata]) for name in set(strata)]
    off = np.concatenate([mmol[here] - mmol[here].mean() for here in of])
    changes = [b.day_on for a, b in pairwise(values) if a.sensor != b.sensor]
    return Fasting(
        values=values,
        mean_mmol=float(mmol.mean()),
        sd_mmol=float(np.sqrt((off**2).sum() / max(mmol.size - len(of), 1))),
        slope=find_slope(np.array([v.day_on.toordinal() for v in values]), mmol, strata, life_days),
        left_out=left_out,
        sensor_changes=tuple(changes),
    )


def find_fasting_days(
    readings: pd.DataFrame,
    meals: pd.DataFrame,
    *,
    sleep: pd.DataFrame | None = None,
    sensors: pd.DataFrame | None = None,
    dips: Sequence[NightDip] = (),
) -> tuple[tuple[FastingDay, ...], dict[date, str]]:
    """Return each day's fasting value in the order of days, and why the other days have none.

    dips: what they hold is left out
    """
    check_columns(readings, LOCAL_READINGS)
    check_columns(meals, LOCAL_MEALS)
    frame = readings[readings["mmol"].notna()].sort_values("at")
    spans = find_spans(dips)
    frame = frame[~mark_pressed(_to_us(frame["at"]), spans)]
    read_at, mmol = _to_us(frame["at"]), frame["mmol"].to_numpy(dtype=np.float64)
    eaten = meals[counts_as_eating(meals)].sort_values("at") if len(meals) else meals
    bites = _to_us(eaten["at"])
    moments = _find_moments(eaten, bites) + _find_wakings(frame, read_at, bites, sleep)
    starts, names = _read_sensors(sensors)
    found: dict[date, FastingDay] = {}
    left_out: dict[date, str] = {}
    for day, at, what, why in sorted(moments, key=lambda m: (m[0], m[2] != "first meal", m[1])):
        if day in found:
            continue
        if why:
            left_out.setdefault(day, why)
            continue
        first = int(read_at.searchsorted(at - int(BEFORE_MIN * _US_MIN)))
        after = int(read_at.searchsorted(at, side="right"))
        if first == after:
            lain = ((spans[:, 0] <= at) & (spans[:, 1] >= at - int(BEFORE_MIN * _US_MIN))).any()
            why = f"in the {BEFORE_MIN:.0f} min before {what}"
            left_out.setdefault(day, f"{UNFIT[DIP]}, {why}" if lain else f"no readings {why}")
            continue
        k = int(starts.searchsorted(at, side="right")) - 1
        instant = _EPOCH + timedelta(microseconds=int(at))
        value = float(mmol[first:after].mean())
        found[day] = FastingDay(day, value, after - first, instant, what, names[k] if k >= 0 else None)
    days = tuple(found[day] for day in sorted(found))
    return days, {day: why for day, why in sorted(left_out.items()) if day not in found}


Moment = tuple[date, int, str, str]
"""(local day, instant in µs, "first meal" or "waking", why it does not count or "")."""


def _find_moments(eaten: pd.DataFrame, bites: Instants) -> list[Moment]:
    """Return for each day its first meal, or why that does not count."""
    moments = []
    fasted = np.append(True, np.diff(bites) >= FAST_H * 60 * _US_MIN)
    days = find_eating_days(eaten)
    for k in np.flatnonzero(np.append(True, days[1:] != days[:-1])[: days.size]):
        why = "" if fasted[k] else f"a meal less than {FAST_H:.0f} h before the first"
        moments.append((days[k].item(), int(bites[k]), "first meal", why))
    return moments


def _find_wakings(
    frame: pd.DataFrame, read_at: Instants, bites: Instants, sleep: pd.DataFrame | None
) -> list[Moment]:
    """Return the wakings; their local day is that of the last reading before them."""
    if sleep is None:
        return []
    check_columns(sleep, SLEEP)
    moments = []
    days = frame["day_on"].dt.date.tolist()
    for woke in _to_us(sleep["to_at"]).tolist():
        k = int(read_at.searchsorted(woke, side="right")) - 1
        if k < 0 or woke - read_at[k] > BEFORE_MIN * _US_MIN:
            continue
        j = int(bites.searchsorted(woke, side="right")) - 1
        fasted = j < 0 or woke - bites[j] >= FAST_H * 60 * _US_MIN
        moments.append((days[k], woke, "waking", "" if fasted else f"a meal less than {FAST_H:.0f} h before"))
    return moments


def _read_sensors(sensors: pd.DataFrame | None) -> tuple[Instants, list[int]]:
    if sensors is None:
        return np.array([], dtype=np.int64), []
    check_columns(sensors, SENSORS)
    ordered = sensors.sort_values("started_at")
    return _to_us(ordered["started_at"]), ordered["entry_id"].tolist()


def _to_us(column: "pd.Series[pd.Timestamp]") -> Instants:
    return column.to_numpy(dtype="datetime64[us]").astype(np.int64)
