"""Two spans of a run against each other, by a value of each day: what remains beyond days that vary anyway.

The model of day t is that of `analysis.whitened`: a level, what its sensor reads differently, what the later
span does, and noise that hangs together from day to day. Sensors read unlike each other (`Scale.sensor`), so
that a change of sensor between the spans widens the interval by itself; where no sensor was worn in both,
`parted` says that sensor and change cannot be told apart.

Two values are looked at (`SCALES`): the spread within the day as the log of its SD, so that a change is in
percent, and its mean. `Scale.sure` is what makes "either of them called different at one of three looks in
four weeks" rare (.05) where nothing changed; `LEVEL` is the interval shown.
On simulated months (python -m tests.bench.conclusions_overrun, 150 each, the last ten days against the first
at days 20, 24 and 28): where nothing changed, anything is called different at one of the looks in .01 (two
sensors) and .05 (one); in .09 where levels hang together by .8 from day to day. At the last look responses
.7 and .5 of what they were are found in .15 and .57 with one sensor, in .05 and .36 with a change of sensor
in between; the interval at 0.9 held the change in .95 or more.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from analysis.errors import InsufficientData
from analysis.results import Floats
from analysis.whitened import RHOS, Case, Prior, days_apart, draw_cases, weigh_cases

Measure = Literal["spread", "mean"]
NEED_DAYS = 4
"""Of each span: fewer say how days vary too badly."""
LEVEL = 0.9
DRAWS, SEED = 4000, 20263


@dataclass(frozen=True, slots=True)
class Scale:
    """A measure beforehand, in its unit: level and its SD, SDs of sensors and changes; noises."""

    level: tuple[float, float]
    sensor: float
    change: float
    noises: tuple[float, ...]
    sure: float


SCALES: dict[Measure, Scale] = {
    "spread": Scale((-0.2, 0.6), 0.1, 0.5, (0.08, 0.12, 0.17, 0.22, 0.28, 0.36, 0.48, 0.65), 0.965),
    "mean": Scale((5.4, 1.0), 0.35, 0.6, (0.08, 0.12, 0.17, 0.23, 0.3, 0.4, 0.55, 0.8), 0.99),
}
"""spread: log of mmol/L; mean: mmol/L (judgement; sensors differ in gain by some 7 %)."""


@dataclass(frozen=True, slots=True)
class Change:
    """What the later span has more than the earlier, in the measure's unit (spread: a natural log).

    days: of each span; level: plain mean of each; low, high: at `LEVEL`; differs: the interval
    at `Scale.sure` leaves out zero
    parted: whether a sensor was worn in both spans, so that a change of sensor is not all there is
    """

    measure: Measure
    days: tuple[int, int]
    level: tuple[float, float]
    estimate: float
    low: float
    high: float
    differs: bool
    parted: bool


def compare_phases(
    day: NDArray[np.int_], y: Floats, sensor: Sequence[object], later: NDArray[np.bool_], measure: Measure
) -> Change:
    """Return how the later days differ from the earlier ones.

    day: day numbers, strictly increasing, shape (n,); y: a value of each; sensor: which one gave it; later:
    which days are of the later span. Days of neither span are not to be given.

    Raises InsufficientData when a span has fewer than `NEED_DAYS`, ValueError for days that do not increase.
    """
    if not (day.size == y.size == len(sensor) == later.size) or (np.diff(day) <= 0).any():
        raise ValueError("days must increase, each with a value, a sensor and a span")
    n = int((~later).sum()), int(later.sum())
    if min(n) < NEED_DAYS:
        raise InsufficientData("comparing two spans", min(n), NEED_DAYS, "whole days each")
    names = list(dict.fromkeys(sensor))
    worn = np.array([[name == other for other in names] for name in sensor], dtype=np.float64)
    scale = SCALES[measure]
    design = np.hstack([later[:, None].astype(np.float64), np.ones((y.size, 1)), worn])
    centre = np.array([0.0, scale.level[0], *[0.0] * len(names)])
    sd = np.array([scale.change, scale.level[1], *[scale.sensor] * len(names)])
    prior = Prior(centre, sd, scale.noises)
    cases: list[Case] = []
    for rho, of_rho in RHOS.items():
        cases += weigh_cases(design, y, days_apart(day, rho), prior, float(np.log(of_rho)))
    change = draw_cases(cases, DRAWS, SEED)[0][:, 0]
    low, high, sure_low, sure_high = np.quantile(
        change, [q for level in (LEVEL, scale.sure) for q in ((1 - level) / 2, (1 + level) / 2)]
    )
    return Change(
        measure=measure,
        days=n,
        level=(float(y[~later].mean()), float(y[later].mean())),
        estimate=float(change.mean()),
        low=float(low),
        high=float(high),
        differs=bool(sure_low > 0 or sure_high < 0),
        parted=bool((worn[later].any(axis=0) & worn[~later].any(axis=0)).any()),
    )
