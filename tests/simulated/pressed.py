"""Simulated days as a sensor reads them, clean ones and those on which somebody lies on the sensor.

Clean days hold what may look like lying on it and is not: steep falls after quick meals, undershoot after
them, falls of exercise, a level that wanders and climbs before waking, noise that is autocorrelated. A press
is drawn as pressure acts (common knowledge, no source): the reading falls within a quarter of an hour by a
share of its value, stays low while it lasts, wavering, and comes back within a quarter of an hour.
"""

from dataclasses import dataclass, replace

import numpy as np

from analysis.results import Floats
from tests.simulated.meals import hump, noise

DAY_MIN = 1440.0


@dataclass(frozen=True)
class Day:
    """Readings of some days, minutes from the first midnight (UTC), and the first bites of what was eaten.

    slept: (from, to) of the nights; pressed: (from, to) of each press
    """

    minutes: Floats
    mmol: Floats
    bites: tuple[float, ...]
    slept: tuple[tuple[float, float], ...]
    pressed: tuple[tuple[float, float], ...] = ()


def clean(rng: np.random.Generator, *, days: int = 3, every: float = 5.0, sd: float = 0.15) -> Day:
    """Return days without a press."""
    minutes = np.arange(float(rng.integers(0, int(every))), days * DAY_MIN, every)
    level = rng.uniform(4.6, 5.6) + 0.25 * np.sin(minutes / rng.uniform(90, 200) + rng.uniform(0, 6.3))
    bites: list[float] = []
    slept: list[tuple[float, float]] = []
    for day in range(days):
        woke = day * DAY_MIN + rng.normal(410, 50)
        asleep = woke - rng.uniform(360, 520)
        slept.append((asleep, woke))
        since = minutes - (woke - 120)
        level = level + rng.uniform(0, 0.6) * np.clip(since / 120, 0, 1) * np.exp(
            -np.clip(since - 120, 0, None) / 120
        )
        at = woke + rng.exponential(50)
        while at < (day + 1) * DAY_MIN - 120:
            at = float(round(at))
            bites.append(at)
            peak = float(np.exp(rng.normal(np.log(42), 0.3)))
            size = float(rng.gamma(3, 40))
            level = level + hump(minutes - at, size, peak, rng.uniform(1.3, 4.0))
            if rng.random() < 0.3:
                level = level - hump(
                    minutes - at - rng.uniform(80, 130), rng.uniform(10, 60), rng.uniform(25, 50)
                )
            if rng.random() < 0.2:
                level = level - hump(
                    minutes - at - rng.uniform(30, 90), rng.uniform(20, 90), rng.uniform(20, 40)
                )
            at += rng.uniform(60, 330)
    mmol = np.maximum(2.2, level + noise(rng, minutes.size, sd=sd, ar=0.7 ** (every / 5)))
    return Day(minutes, mmol, tuple(bites), tuple(slept))


def press(
    rng: np.random.Generator, day: Day, start: float, minutes: float, share: float | None = None
) -> Day:
    """Return days with one more press, from `start` (min) for so long; share: how much of the value goes."""
    share = float(rng.uniform(0.25, 0.55)) if share is None else share
    down, up = rng.uniform(3, 14, 2)
    corners = [start, start + down, start + minutes - up, start + minutes]
    depth = np.interp(day.minutes, corners, [0, share, share, 0])
    wavering = 1 + np.where(depth > 0, noise(rng, day.minutes.size, sd=0.06, ar=0.8), 0)
    mmol = np.maximum(2.2, day.mmol * (1 - depth * np.clip(wavering, 0.6, 1.4)))
    return replace(day, mmol=mmol, pressed=(*day.pressed, (start, start + minutes)))


def press_before(
    rng: np.random.Generator, day: Day, bite: float, ends: float, minutes: float, share: float | None = None
) -> Day:
    """Return days with a press that ends `ends` min before a bite (negative = after it)."""
    return press(rng, day, bite - ends - minutes, minutes, share)
