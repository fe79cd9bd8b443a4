"""Meals close together: whose rise is whose.

A meal less than two hours after another starts on what is left of the other's rise, and the other's window
holds its rise. Where it can be done the two are separated; where it cannot, both stay in one curve. Either
way the serving is flagged.

Method. The level above which everything is counted is that before the first meal of the chain. At the bite
of a later meal, what is left above it (the mean of the last 10 min) is taken to fade by halves: every 30 min,
or faster where the readings of the last half hour fall faster (at most every 12 min). A meal's own rise is
the readings minus what the meals before left, and from the next bite on what it would itself have left. It
takes a fall to go by: while the meal before still rises at the next bite (less than 0.6 mmol/L down an hour)
and more than 0.3 mmol/L of it is there, nothing is separated. Nor are meals less than 45 min apart: the
first has then hardly shown what it does.

Why so. On constructed overlaps (tests/analysis/test_overlap.py: four shapes of response, rises of 1.5 to
4.5 mmol/L, 50 to 105 min apart, sensor noise of SD 0.2) the area of the later meal is off by 33 mmol·min/L
(root mean square) after the separation and by 124 as recorded, that of the earlier meal by 22 and 80. The
half-time is an assumption (no source): 20 min does better for short rises, worse for those fat prolongs.

On real repeats in free life [phillips2023] (199 separated servings of 80 meals, the same words logged again;
by hand) the one-way ICC of the area is 0.76 after the separation and 0.71 as recorded, of the rise 0.74 and
0.65. Separating meals that are less than 45 min apart as well made both worse than recorded, hence that line.

What is left over widens the range of the score, by `SD_POINTS`: separating adds 7.1 and 2.0 points (root mean
square, later and earlier meal, 60 min and more apart) to the error of the score on these overlaps, and 3.2
and 1.7 on simulated days with humps of other shapes (tests/bench/conclusions_occasions.py, areas 50 to 250,
61 to 119 min apart), where the areas are off by 25 and 19, sensor included. Taken is the middle of both.

A separated curve keeps the levels that were read (baseline, peak, two hours); its rise, area, dip, minutes
over a line, slopes and way back are those of the separated response, so that no meal loses points for
another one. Its variant is "iAUC, separated".
"""

from dataclasses import dataclass, replace
from math import hypot, log

import numpy as np

from analysis.curves import POSSIBLE_MMOL, WINDOW_MIN, measure_curve
from analysis.flags import TOGETHER
from analysis.results import Curve, Floats

CLOSE_MIN = WINDOW_MIN
APART_MIN = 45.0
HALF_MIN = 30.0
FASTEST_HALF_MIN = 12.0
LAST_MIN = 10.0
FALL_MIN = 30.0
FALLING_MMOL_MIN = 0.01
GONE_MMOL = 0.3
SEPARATED = "iAUC, separated"
SD_POINTS = (5.5, 2.0)
"""What separating adds to the error of the score (SD, points): of the later meal, of the earlier one."""


@dataclass(frozen=True, slots=True)
class Tail:
    """What a meal leaves for the one after it: `excess` mmol/L at `at_min`, fading by `rate` a minute."""

    at_min: float
    excess: float
    rate: float

    def fade(self, minutes: Floats) -> Floats:
        """Return what is left at each of the minutes, all of them at or after `at_min` (mmol/L)."""
        left: Floats = self.excess * np.exp(-self.rate * (minutes - self.at_min))
        return left


def find_tail(t: Floats, v: Floats, at_min: float, rest_mmol: float) -> Tail | None:
    """Return what is left above `rest_mmol` at `at_min`, or None when it is not falling yet or not read.

    t, v: sorted minutes and mmol/L, shape (n,)

    >>> import numpy as np
    >>> tail = find_tail(np.array([30.0, 40, 50, 60]), np.array([8.0, 7.75, 7.5, 7.25]), 60, 5.0)
    >>> tail.excess, tail.fade(np.array([90.0])).round(2).tolist()
    (2.375, [1.19])
    """
    # a reading at the very minute of the bite belongs to what was before it
    since, late, until = (
        int(i) for i in t.searchsorted([at_min - FALL_MIN, at_min - LAST_MIN, at_min + 1e-9])
    )
    if until - late < 1 or until - since < 2:
        return None
    excess = float(v[late:until].mean()) - rest_mmol
    if excess <= GONE_MMOL:
        return Tail(at_min, 0.0, log(2) / HALF_MIN)
    x = t[since:until] - t[since:until].mean()
    slope = float(x @ v[since:until]) / float(x @ x)
    if slope > -FALLING_MMOL_MIN:
        return None
    rate = min(max(log(2) / HALF_MIN, -slope / excess), log(2) / FASTEST_HALF_MIN)
    return Tail(at_min, excess, rate)


def separate_curve(
    curve: Curve,
    minutes: Floats,
    mmol: Floats,
    *,
    rest_mmol: float | None,
    last_min: float | None = None,
    next_min: float | None = None,
) -> Curve:
    """Return the curve of one meal without its neighbours, or as it was where they cannot be told apart.

    curve: as `measure_curve` gives it for minutes, mmol (minutes from this meal's first bite, sorted)
    rest_mmol: the level before the first meal of the chain; None = not known
    last_min, next_min: how long ago the meal before was, and after how long the next one comes (both > 0,
    in minutes); None = none within two hours
    The flags say for each neighbour what was done.
    """
    known = ~np.isnan(mmol)
    t, v = minutes[known], mmol[known]
    before, after = _find_tails(t, v, rest_mmol, last_min, next_min)
    flags = list(curve.flags)
    if next_min is not None:
        flags.append(f"next meal after {next_min:.0f} min, {_say(after)}")
    if last_min is not None:
        flags.append(f"last meal {last_min:.0f} min before, {_say(before)}")
    if before is None and after is None:
        return replace(curve, flags=tuple(flags))
    own = _take_off(t, v, before, after, rest_mmol)
    separated = measure_curve(t, own, next_meal_min=next_min)
    return replace(
        separated,
        baseline_mmol=curve.baseline_mmol,
        baseline_n=curve.baseline_n,
        baseline_sd_mmol=curve.baseline_sd_mmol,
        baseline_se_mmol=curve.baseline_se_mmol,
        baseline_slope_h=curve.baseline_slope_h,
        peak_mmol=float(np.interp(separated.minutes_to_peak, t, v)),
        two_hour_mmol=curve.two_hour_mmol,
        flags=tuple(flags),
        variant=SEPARATED,
        apart_sd_points=hypot(
            *(0.0 if tail is None else sd for tail, sd in zip((before, after), SD_POINTS, strict=True))
        ),
    )


def own_line(
    minutes: Floats,
    mmol: Floats,
    *,
    rest_mmol: float | None,
    last_min: float | None = None,
    next_min: float | None = None,
) -> Floats | None:
    """Return the readings without what the neighbours added, which `separate_curve` measures.

    Parameters and their units are those of `separate_curve`; the result has the shape of `mmol` (mmol/L),
    and is None where the meals cannot be told apart.
    """
    known = ~np.isnan(mmol)
    t, v = minutes[known], mmol[known]
    before, after = _find_tails(t, v, rest_mmol, last_min, next_min)
    if before is None and after is None:
        return None
    own = mmol.copy()
    own[known] = _take_off(t, v, before, after, rest_mmol)
    return own


def _find_tails(
    t: Floats, v: Floats, rest_mmol: float | None, last_min: float | None, next_min: float | None
) -> tuple[Tail | None, Tail | None]:
    """Return what the meal before left at this bite, and what is left at the next one."""
    before = after = None
    if rest_mmol is not None:
        if last_min is not None and last_min >= APART_MIN:
            before = find_tail(t, v, 0.0, rest_mmol)
        if next_min is not None and next_min >= APART_MIN:
            after = find_tail(t, v, next_min, rest_mmol)
    return before, after


def _take_off(
    t: Floats, v: Floats, before: Tail | None, after: Tail | None, rest_mmol: float | None
) -> Floats:
    own = v.copy()
    if before is not None and before.excess > 0 and rest_mmol is not None:
        own[t <= 0] = rest_mmol
        since = t > 0
        # what is taken off never makes a dip of its own
        own[since] = np.maximum(v[since] - before.fade(t[since]), np.minimum(v[since], rest_mmol))
    if after is not None and rest_mmol is not None:
        later = t > after.at_min
        left = after.fade(t[later])
        if before is not None:
            left = np.maximum(0.0, left - before.fade(t[later]))
        own[later] = rest_mmol + left
    floored: Floats = np.maximum(own, POSSIBLE_MMOL[0])
    return floored


def _say(tail: Tail | None) -> str:
    return TOGETHER if tail is None else "its rise taken off"
