"""Evenness: 0 to 100 for the curve of one meal, 100 = a flat line, and where each lost point went.

    lost to rise = 6 points for each mmol/L that the peak is above the baseline,           at most 30
    lost to area = 1 point for each 6 mmol/L·min of incremental area over two hours,        at most 50
    lost to high = 1 point for each 6 min above 7.8 mmol/L within the two hours,            at most 10
    lost to dip  = 5 points for each mmol/L that it falls below the baseline beyond 1.0,    at most 10
    score        = 100 - all of these

It depends on this curve only, so that a score stays what it was when other meals are logged; each part is
linear up to its cap, so that it can be done on paper, and more of any part never raises the score.
The four measures are in mmol/L and minutes whatever unit the person reads.

Why these constants. Rise and area use up their caps at 5 mmol/L and 300 mmol/L·min, a large response in a
person without diabetes: the peaks of Indian adults rose by 3.9 (normal weight,
carbohydrate first) [order2020], the mean area of the 36 curves of [hand1996] is 275.6 (59 to 562), and the
reference food of [fao66] gives 114 to 179. The area weighs most since it repeats best and uses every
reading, while the peak hangs on one. `high` is small since 7.8 is a line for two hours after 75 g glucose,
not for meals [ada2021]. A dip counts only beyond 1.0: the lowest of 25 readings of a flat line read with a
sensor of SD 0.35 lies 0.7 under it by chance alone, and the baseline may be off by 0.3.

What typical published responses score (tests/analysis/published/typical.toml says which figures are
printed and which assumed; where only an area is printed, the rise is 0.0222 per min of it, the ratio in the
four series of [fao66]):

    75 g glucose, young men, one-peaked curve [ogtt2019]         30
    white bread, fresh / toasted [burton2008]                    28 / 45
    reference food, FAO's three series [fao66]                   59, 58, 46
    FAO's test food [fao66]                                      74
    50 g carbohydrate as lentils [jenkins1982]                   82
    protein-rich formula, GI 7 [moller2015] (stands in for a
    salad with chicken, of which no published curve was found)   97

How stable it is: curves rising by 0 to 5 mmol/L, read every 5 min; figures in points, measured again by
tests/analysis/test_evenness_stability.py.

    thinned to 15 minutes                         0.5 on average, 2.6 at most
    baseline off by 0.3 mmol/L                    6.0 on average, 7.7 at most
    sensor noise of SD 0.3 / 0.5 mmol/L           SD 5.7 / 9.0, and 1.9 / 3.9 lower on average
      on a flat line                              SD 3.9 / 6.1, and 6.7 / 11.8 lower
    noisy readings thinned to 15 minutes          SD 3.0 / 4.7 besides, and 1.1 / 1.8 higher

So a flat line seen by a sensor scores about 93, not 100, and the baseline matters most: a mean of several
readings is worth having. (Sensors differ from blood by 12.5 % on average [pleus2021], 0.7 at 5.5 mmol/L;
what all readings of a meal share of it moves no part of the score but `high`.)

Repeatability on real repeats [phillips2023] (12 people without diabetes in free life, 15-minute readings,
the same words logged again with nothing else within two hours before and after; 231 servings of 92 meals;
one-way ICC, tests/bench/repeats_in_free_life.py): 0.736 for the score, 0.731 for the area, 0.704 for the
rise; with each person's own mean taken out 0.704, 0.698 and 0.665. Within a meal the score has an SD of 9.6
points: 5 where less than 10 points are lost, 9 up to 20, 10 up to 30, 13 above; the band below supposes 5 in
the middle of the first, then 8, 12 and, at 40 points lost, 18.

On repeats that are played (120 meals, four servings each, which vary by a CV of 25 or 43 % within the meal;
tests/analysis/test_evenness_stability.py) the ICC is 0.85 and 0.70, that of the area 0.85 and 0.69.

Whether the scale is used: over 350 isolated meals of these 12 people a tenth scored below 48, a quarter
below 66, half below 79, three quarters below 93 and nine tenths below 98; their rises were 0.5 to 2.2 mmol/L
in the middle half. A finer scale for small rises would mostly magnify noise: a flat line already loses 7.

The band. `low` to `high` says where the meal's typical score (the mean over very many servings) lies, at
`level`, judged from this serving. The root of the points lost, t, varies from serving to serving by about
the same amount at all levels (`analysis.shrinkage`); its usual SD, `USUAL_SD`, is that of simulated
servings with a within-person CV between 25 and 40 % (laboratories, free life) read by a noisy sensor, and
counts as much as `USUAL_DF` + 1 repeats; own repeats are added to it, so that the band neither jumps nor
widens as a rule when a third serving comes. Then t ± Student's t·SD, taken back to points. Simulated
coverage of the true mean, over mean areas from 20 to 210 (tests/bench/conclusions_bands.py), at 1, 2, 3, 5
and 8 servings:

    CV 25 %    .96 .96 .97 .96 .93
    CV 40 %    .86 .88 .90 .90 .89
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, sqrt

import numpy as np

from analysis.results import Curve, Evenness


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the score: `per_unit` points for each `unit` beyond `free`, at most `cap` points."""

    name: str
    per_unit: float
    free: float
    cap: float
    unit: str

    def lose(self, measure: float) -> float:
        """Return the points lost for this much of the measure."""
        return min(self.cap, max(0.0, (measure - self.free) * self.per_unit))


PARTS = (
    Part("rise", 6.0, 0.0, 30.0, "mmol/L"),
    Part("area", 1 / 6, 0.0, 50.0, "mmol/L·min"),
    Part("high", 1 / 6, 0.0, 10.0, "min above 7.8 mmol/L"),
    Part("dip", 5.0, 1.0, 10.0, "mmol/L below the baseline"),
)
LEVEL = 0.9
USUAL_SD = {0.0: 1.1, 2.0: 0.62, 4.0: 0.67, 5.0: 0.79, 6.3: 1.04, 7.5: 1.16}
"""The usual SD of t from serving to serving at some levels of t; straight lines between, level beyond."""
USUAL_DF = 8
T_95 = (
    6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812, 1.796, 1.782, 1.771, 1.761, 1.753,
    1.746, 1.740, 1.734, 1.729, 1.725, 1.721, 1.717, 1.714, 1.711, 1.708, 1.706, 1.703, 1.701, 1.699, 1.697,
)  # fmt: skip
"""95 % point of Student's t for 1 to 30 degrees of freedom (two-sided 0.9); above 30 the last is kept."""
Z_95 = 1.645


def score_curve(curve: Curve, repeats: Sequence[Curve] = ()) -> Evenness:
    """Score one meal's curve.

    repeats: curves of servings of the same meal, this one among them; they help to set the band

    A rise of 2.5, an area of 90 and nothing else: 6·2.5 + 90/6 points are lost.

    >>> flat = Curve(5.0, 3, 5.0, 0.0, 0.0, 0.0, 5.0, 0.0, 0.0, 0.0, 1.0)
    >>> score_curve(flat).score
    100.0
    >>> evenness = score_curve(Curve(5.0, 3, 7.5, 2.5, 45.0, 90.0, 5.0, 0.6, 0.0, 90.0, 1.0))
    >>> evenness.score, evenness.lost
    (70.0, {'rise': 15.0, 'area': 15.0, 'high': 0.0, 'dip': 0.0})
    """
    lost = lose_points(curve)
    scores = [_score(lose_points(c)) for c in repeats] or [_score(lost)]
    return _make(lost, find_spread(scores), len(scores) > 1)


def score_repeats(curves: Sequence[Curve]) -> list[Evenness]:
    """Score all servings of one meal, each with all of them as its repeats."""
    lost = [lose_points(curve) for curve in curves]
    spread = find_spread([_score(points) for points in lost])
    return [_make(points, spread, len(curves) > 1) for points in lost]


def lose_points(curve: Curve) -> dict[str, float]:
    """Return the points lost to each part, in the order of `PARTS`."""
    measures = (curve.rise_mmol, curve.area_2h, curve.minutes_over_7_8, curve.dip_mmol)
    return {part.name: part.lose(measure) for part, measure in zip(PARTS, measures, strict=True)}


def find_band(score: float, spread: tuple[float, float]) -> tuple[float, float]:
    """Return where the mean score of a meal likely lies, judged from one serving's score.

    spread: as `find_spread` gives it for the scores of all its servings

    >>> low, high = find_band(60.0, find_spread([60.0]))
    >>> round(low), round(high)
    (31, 81)
    """
    variance, reach = spread
    here = sqrt(max(100.0 - score, 0.0))
    # the mean of t² is that of its mean, squared, and its variance
    return max(0.0, 100.0 - (here + reach) ** 2 - variance), 100.0 - max(0.0, here - reach) ** 2


def find_spread(scores: Sequence[float]) -> tuple[float, float]:
    """Return the variance of t from serving to serving of a meal, and how far t may be from its mean.

    scores: of its servings, one or more
    """
    t = [sqrt(max(100.0 - each, 0.0)) for each in scores]
    mean = sum(t) / len(t)
    usual = float(np.interp(mean, list(USUAL_SD), list(USUAL_SD.values())))
    df = USUAL_DF + len(t) - 1
    variance = (USUAL_DF * usual**2 + sum((each - mean) ** 2 for each in t)) / df
    return variance, T_95[min(df, len(T_95)) - 1] * sqrt(variance)


def widen(evenness: Evenness, sd_points: float) -> Evenness:
    """Return a score whose band also holds another error of this SD (points), independent of the rest."""
    down, up = (
        hypot(off, Z_95 * sd_points)
        for off in (evenness.score - evenness.low, evenness.high - evenness.score)
    )
    return replace(evenness, low=max(0.0, evenness.score - down), high=min(100.0, evenness.score + up))


def _score(lost: dict[str, float]) -> float:
    return 100.0 - sum(lost.values())


def _make(lost: dict[str, float], spread: tuple[float, float], own: bool) -> Evenness:
    score = _score(lost)
    low, high = find_band(score, spread)
    return Evenness(score, lost, low, high, LEVEL, "own repeats" if own else "published")
