"""Simulated months as a sensor reads them: what was felt, done and eaten, and what of it has to do with it.

Made otherwise than the models that are judged by them: responses are gamma-shaped humps with gamma
distributed variation, days hang together by a skewed level, habits, shifts, dishes and feelings come in runs
of days, feelings are noted when one eats, sensors differ in gain and lag behind.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.feelings import Grid, Moment
from analysis.results import Floats
from tests.simulated.days import draw_shape
from tests.simulated.meals import hump, noise

EVERY_MIN, DAY_MIN = 5, 1440
LAG_SLOTS = 2
DISHES = 8
AWAKE = (7.0, 22.0)


@dataclass(frozen=True)
class Month:
    """mmol: what the sensor read, shape (days, 288); true: what was there; bites: minutes of the first bites.

    sensor: of each day; felt: feeling -> (day, minute); things: thing -> of each day, 0 or 1
    """

    mmol: Floats
    true: Floats
    bites: Floats
    sensor: list[int]
    things: dict[str, Floats]
    felt: dict[str, list[Moment]] = field(default_factory=dict)

    @property
    def days(self) -> int:
        return len(self.sensor)

    @property
    def grid(self) -> Grid:
        """The quarters of an hour, as `analysis.feelings` takes them."""
        level = self.mmol.reshape(self.days, 96, 3).mean(axis=2)
        at = np.arange(self.days * 96) * 15.0 + 7.5
        place = np.searchsorted(self.bites, at, side="right") - 1
        since = np.where(place >= 0, at - self.bites[np.maximum(place, 0)], np.inf)
        return Grid(level, since.reshape(level.shape), self.sensor, np.arange(self.days))

    @property
    def spreads(self) -> Floats:
        spreads: Floats = np.log(np.nanstd(self.mmol, axis=1))
        return spreads

    @property
    def means(self) -> Floats:
        means: Floats = np.nanmean(self.mmol, axis=1)
        return means


def runs(rng: np.random.Generator, days: int, share: float, stays: float = 0.6) -> NDArray[np.bool_]:
    """Return which days have something that comes in runs, about that share of them."""
    rough = noise(rng, days, 1.0, stays)
    return rough > np.quantile(rough, 1 - share)


def live_month(
    rng: np.random.Generator,
    days: int = 28,
    *,
    ar: float = 0.5,
    level_sd: float = 0.25,
    life: int = 14,
    gain_sd: float = 0.07,
    change: float = 1.0,
    change_at: int = 14,
    walk: float = 1.0,
    late_shift: float = 0.0,
    lost: float = 0.05,
) -> Month:
    """Return a month.

    change: what responses are multiplied by from day `change_at` on; walk: by a walk after the meal;
    late_shift: mmol/L that late shifts add to the level; lost: share of the hours without readings
    """
    minutes = np.arange(0.0, days * DAY_MIN, EVERY_MIN)
    rough = noise(rng, days, 1.0, ar)
    level = 5.2 + level_sd * (np.exp(0.4 * rough) - np.exp(0.08)) / 0.45
    walked, late = runs(rng, days, 0.45), runs(rng, days, 0.5, 0.8)
    appetite = np.exp(noise(rng, days, 0.25, 0.4))
    dishes = rng.gamma(6, 20, DISHES)
    things: dict[str, Floats] = {"walk": walked.astype(np.float64), "late shift": late.astype(np.float64)}
    eaten = np.zeros((DISHES, days))
    mmol = np.repeat(level + late_shift * late, DAY_MIN // EVERY_MIN)
    bites: list[float] = []
    today = rng.integers(DISHES, size=4)
    for day in range(days):
        today = np.where(rng.random(4) < 0.45, today, rng.integers(DISHES, size=4))
        for k, hour in enumerate((7.5, 12.5, 16.0, 19.0)):
            if k == 2 and rng.random() < 0.5:
                continue
            bite = DAY_MIN * day + 60 * (hour + 1.5 * late[day]) + rng.normal(0, 30)
            bite = float(EVERY_MIN * round(min(bite, DAY_MIN * (day + 1) - 60) / EVERY_MIN))
            dish = int(today[k])
            eaten[dish, day] = 1
            area = dishes[dish] * appetite[day] * rng.gamma(12, 1 / 12)
            area *= (change if day >= change_at else 1.0) * (walk if walked[day] and k else 1.0)
            mmol = mmol + hump(minutes - bite, area, *draw_shape(rng))
            if rng.random() < 0.25:
                mmol = mmol - hump(minutes - bite - 110, rng.uniform(20, 70), 35.0)
            bites.append(bite)
    things |= {f"dish {k}": of for k, of in enumerate(eaten)}
    worn = [day // life for day in range(days)]
    gain = 1 + rng.normal(0, gain_sd, worn[-1] + 1)
    lagged = np.concatenate([np.full(LAG_SLOTS, mmol[0]), mmol[:-LAG_SLOTS]])
    read = lagged.reshape(days, -1) * gain[worn][:, None] + noise(rng, minutes.size).reshape(days, -1)
    read[np.repeat(rng.random((days, 24)) < lost, 12, axis=1)] = np.nan
    return Month(read, mmol.reshape(days, -1), np.array(bites), worn, things)


def feel_anyhow(rng: np.random.Generator, month: Month, share: float) -> list[Moment]:
    """Return moments of a feeling that has nothing to do with glucose: in runs of days, when one eats."""
    days = np.flatnonzero(runs(rng, month.days, share))
    usual = rng.uniform(9, 20)
    found = []
    for day in days.tolist():
        for _ in range(1 + int(rng.random() < 0.3)):
            minute = 60 * rng.normal(usual, 1.2)
            of_day = month.bites[month.bites // DAY_MIN == day] - day * DAY_MIN
            if rng.random() < 0.5 and of_day.size:
                minute = float(of_day[np.abs(of_day - minute).argmin()]) + rng.uniform(0, 20)
            found.append((day, float(np.clip(minute, 60 * AWAKE[0], 60 * AWAKE[1]))))
    return found


def feel_low(rng: np.random.Generator, month: Month, steep: float, share: float) -> list[Moment]:
    """Return moments of a feeling that comes when glucose is low, or falls.

    steep: how the odds grow with each mmol/L below the person's own mean; share: of the days
    """
    slots = np.arange(int(AWAKE[0] * 12), int(AWAKE[1] * 12), 3)
    found = []
    for day in np.flatnonzero(rng.random(month.days) < share).tolist():
        odds = np.exp(-steep * (month.true[day, slots] - month.true.mean()))
        slot = int(rng.choice(slots, p=odds / odds.sum()))
        found.append((day, float(slot * EVERY_MIN + rng.uniform(0, 15))))
    return found
