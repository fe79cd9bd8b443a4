"""The level a meal starts from: which readings make it, how sure it is, and whether it was still moving.

Which readings: those from 15 min before the first bite to the bite, their mean (with samples at -15 and 0,
or -5 and 0, this is the rule of the laboratories [lightowler2008]). None there: those from 30 to 15 min
before, flagged. None there either: the first reading up to 10 min after, flagged.

How sure: the standard error of a mean of n readings, s/√n. s is their own SD, but never below 0.24 mmol/L,
which is what one fasting sample is off by: two samples 15 min apart differ with an SD of 0.34 = 0.24·√2 in
the 36 curves of [hand1996]. So one reading is good to 0.24, four to 0.12 at best. It does not hold what all
readings of a sensor are off by together, which shifts curve and baseline alike.

Whether it was moving: the least-squares slope of the last 45 min. It is told as falling or rising from
1 mmol/L an hour on (what a meal two hours ago still does), when the slope is also twice its own standard
error. Nothing is corrected for it: what the curve would have done without the meal is not known.
"""

from dataclasses import dataclass
from math import sqrt

from analysis.errors import InsufficientData
from analysis.results import Floats

NEAR_MIN = 15.0
FAR_MIN = 30.0
EARLY_MIN = 45.0
LATE_MIN = 10.0
ONE_READING_SD = 0.24
TREND_MIN = 45.0
TREND_SPAN_MIN = 25.0
MOVING_MMOL_H = 1.0


@dataclass(frozen=True, slots=True)
class Baseline:
    """The level before a meal (mmol/L), of `n` readings; `sd` is None for one reading, `se` never.

    slope_h: mmol/L an hour over the last 45 min, None when fewer than three readings span 25 min of it
    """

    mmol: float
    n: int
    sd: float | None
    se: float
    slope_h: float | None
    flags: tuple[str, ...] = ()


def find_baseline(t: Floats, v: Floats) -> Baseline:
    """Return the baseline of a curve.

    t, v: minutes from the first bite, strictly increasing, and mmol/L, both shape (n,), without NaN

    Raises InsufficientData when there is no reading from 30 min before the bite to 10 min after it.

    >>> import numpy as np
    >>> baseline = find_baseline(np.array([-45.0, -30, -15, 0]), np.array([7.0, 6.5, 6.0, 5.5]))
    >>> baseline.mmol, baseline.n, round(baseline.se, 2), round(baseline.slope_h, 1), baseline.flags
    (5.75, 2, 0.25, -2.0, ('baseline still falling before the first bite',))
    """
    trend, far, near = (int(i) for i in t.searchsorted([-TREND_MIN, -FAR_MIN, -NEAR_MIN]))
    bite, late = (int(i) for i in t.searchsorted([0.0, LATE_MIN], side="right"))
    slope, moving = _find_trend(t[trend:bite], v[trend:bite])
    if near < bite:
        return _average(v[near:bite], slope, moving)
    if far < near:
        return _average(v[far:near], slope, (f"baseline from {-t[near - 1]:.0f} min before", *moving))
    if bite < late:
        flag = f"baseline from {t[bite]:.0f} min after the first bite"
        return _average(v[bite : bite + 1], slope, (flag, *moving))
    what = f"no readings from {FAR_MIN:.0f} min before the first bite to {LATE_MIN:.0f} min after it"
    raise InsufficientData(what, 0, 1)


def find_early_baseline(t: Floats, v: Floats) -> Baseline | None:
    """Return the level from 45 to 30 min before the bite, for a meal of which it is not clear when it began.

    t, v: as for `find_baseline`; None without a reading there
    """
    start, stop = (int(i) for i in t.searchsorted([-EARLY_MIN, -FAR_MIN + 1e-9]))
    if start == stop:
        return None
    flag = f"baseline from {EARLY_MIN:.0f} to {FAR_MIN:.0f} min before: when the rise began is not clear"
    return _average(v[start:stop], None, (flag,))


def _average(v: Floats, slope: float | None, flags: tuple[str, ...]) -> Baseline:
    n = v.size
    mean = float(v.mean())
    off = v - mean
    sd = sqrt(float(off @ off) / (n - 1)) if n > 1 else None
    return Baseline(mean, n, sd, max(sd or 0.0, ONE_READING_SD) / sqrt(n), slope, flags)


def _find_trend(t: Floats, v: Floats) -> tuple[float | None, tuple[str, ...]]:
    """Return the slope in mmol/L an hour, and a flag where it is steep and clear of its own noise."""
    if t.size < 3 or t[-1] - t[0] < TREND_SPAN_MIN:
        return None, ()
    x, y = t - t.mean(), v - v.mean()
    squares = float(x @ x)
    slope = float(x @ y) / squares
    rest = y - slope * x
    error = sqrt(float(rest @ rest) / (t.size - 2) / squares)
    if abs(slope) * 60 < MOVING_MMOL_H or abs(slope) < 2 * error:
        return slope * 60, ()
    return slope * 60, (
        f"baseline {'still falling' if slope < 0 else 'already rising'} before the first bite",
    )
