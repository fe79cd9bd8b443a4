"""Whether a daily value moves over weeks: a slope beside sensor means, autocorrelated days and unseen steps.

The model of day t:

    y_t = mean of its sensor + slope·t + (step, from some day on) + e_t,    e_t = rho·e_(t-1) + noise

One day is like the next (rho), so that ordinary intervals call trends where there is none: at rho = .5 with
weekly looks 30 % [simulated]. Sensors read unlike each other, so that each has its own mean, and a change of
sensor that nobody noted is a step. How much days vary, rho, whether and where there is a step are not known:
each combination of a grid counts by its marginal likelihood times its prior; within one, all is normal and
exact (AR(1) whitened by Prais & Winsten's transformation, days missing between two count as rho to that
power). So a short run with doubtful rho has a wide interval.

Looked at every week, an interval of 90 % would leave out a slope of zero in more than a tenth of the runs at
one look or another. So `TAIL` is set so that it does so in at most a tenth of runs of four weeks looked at
weekly, at rho = .5; a single look errs less. Simulated (tests/bench/conclusions_fasting.py).

A drift of the sensor and a trend of the person look alike. They part only across sensors worn in different
weeks: with one sensor, what is found may be either, and `one_sensor` says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.results import Floats
from analysis.whitened import RHOS, Case, Prior, days_apart, draw_cases, weigh_cases

SDS = (0.08, 0.12, 0.17, 0.23, 0.3, 0.4, 0.55, 0.8)
"""SD of the noise from day to day (mmol/L), all as likely beforehand."""
MEAN_PRIOR, SENSOR_SD, STEP_SD, SLOPE_SD = (5.2, 1.0), 0.45, 0.6, 0.5
"""mmol/L; sensors of one person differ by several per cent. SLOPE_SD: mmol/L a week."""
STEP_PRIOR, OVERDUE_PRIOR = 0.2, 0.9
"""OVERDUE: where a sensor is said to have lasted longer than sensors do, a change that nobody noted is all
but sure."""
EDGE_DAYS = 3
"""A step has at least so many values on either side."""
MOST_DAYS = 120
TAIL, LEVEL = 0.035, 0.9
DRAWS, SEED = 6000, 20261


@dataclass(frozen=True, slots=True)
class Level:
    """One sensor's mean (mmol/L) at the middle of its days, with its interval at 0.9, and how many days."""

    sensor: object
    days: int
    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Slope:
    """A slope a week with its interval, as wide as weekly looks ask; see the module.

    levels: one for each sensor; step_at: the first day (its place) of a likely unnoted step, None without
    one_sensor: whether a drift of the sensor would look the same
    """

    estimate: float
    low: float
    high: float
    levels: tuple[Level, ...]
    step_at: int | None
    one_sensor: bool
    level: float = LEVEL

    @property
    def moves(self) -> bool:
        """Whether the interval leaves out zero."""
        return self.low > 0 or self.high < 0


def find_slope(day: NDArray[np.int_], y: Floats, sensor: Sequence[object], life_days: float = 14.0) -> Slope:
    """Return the slope of daily values.

    day: day numbers, strictly increasing, shape (n,); y: mmol/L, the same shape; sensor: which one gave each
    life_days: how long a sensor lasts
    Of more than `MOST_DAYS` values the newest are taken. Raises ValueError for unlike lengths or days that do
    not increase. With few days the interval is wide, never refused.
    """
    if not (day.size == y.size == len(sensor)) or (np.diff(day) <= 0).any():
        raise ValueError("days must increase, each with a value and a sensor")
    skipped = max(0, y.size - MOST_DAYS)
    day, y, sensor = day[-MOST_DAYS:], y[-MOST_DAYS:], list(sensor)[-MOST_DAYS:]
    names = list(dict.fromkeys(sensor))
    week = (day - day.mean()) / 7
    one_hot = np.array([[name == other for other in names] for name in sensor], dtype=np.float64)
    steps = [None, *range(EDGE_DAYS, y.size - EDGE_DAYS + 1)]
    known = {k for k in range(1, y.size) if sensor[k] != sensor[k - 1]}
    worn = [np.ptp(day[one_hot[:, k] > 0]) for k in range(len(names))]
    stepping = OVERDUE_PRIOR if max(worn) > life_days else STEP_PRIOR
    prior_sd = np.array([SLOPE_SD, MEAN_PRIOR[1], *[SENSOR_SD] * len(names), STEP_SD])
    centre = np.zeros(prior_sd.size)
    centre[1] = MEAN_PRIOR[0]
    known_before = Prior(centre, prior_sd, SDS)
    cases: list[tuple[Case, int | None]] = []
    for rho, of_rho in RHOS.items():
        power = days_apart(day, rho)
        for step in steps:
            if step in known:
                continue
            after = np.zeros((y.size, 1)) if step is None else (np.arange(y.size) >= step)[:, None]
            design = np.hstack([week[:, None], np.ones((y.size, 1)), one_hot, after.astype(np.float64)])
            prior = stepping / (len(steps) - 1) if step is not None else 1 - stepping * (len(steps) > 1)
            weighed = weigh_cases(design, y, power, known_before, np.log(of_rho * prior))
            cases += [(case, step) for case in weighed]
    found = _mix(cases, names, one_hot, week)
    return found if found.step_at is None else replace(found, step_at=found.step_at + skipped)


def _mix(cases: list[tuple[Case, int | None]], names: list[object], one_hot: Floats, week: Floats) -> Slope:
    draws, weights = draw_cases([case for case, _ in cases], DRAWS, SEED)
    slope = draws[:, 0]
    low, high = np.quantile(slope, (TAIL, 1 - TAIL))
    by_step: dict[int | None, float] = {}
    for (_, step), weight in zip(cases, weights, strict=True):
        by_step[step] = by_step.get(step, 0.0) + float(weight)
    likeliest = max(by_step, key=lambda step: by_step[step])
    stepped = by_step.get(None, 0.0) < 0.5 and likeliest is not None
    levels = []
    for k, name in enumerate(names):
        days = one_hot[:, k] > 0
        level = slope * week[days].mean() + draws[:, 1] + draws[:, 2 + k]
        bounds = np.quantile(level, (0.05, 0.95))
        levels.append(Level(name, int(days.sum()), float(level.mean()), float(bounds[0]), float(bounds[1])))
    return Slope(
        float(slope.mean()),
        float(low),
        float(high),
        tuple(levels),
        likeliest if stepped else None,
        len(names) == 1,
    )
