"""With and without: two arms of servings against each other, as an observer may compare them.

Nobody drew lots who got which, servings of a day hang together, and a person asks again after each serving
and asks more than one such question. So:

- what is compared is t, the root of the points lost (`analysis.shrinkage` says why), in a mixed model: an
  arm, a slope for the root of the available carbohydrate (drawn towards `CARBS_SLOPE`), what each meal is by
  itself and what a day does to all its meals as random effects, their shares by REML on a grid; so a day does
  not count twice, and a meal that is only ever eaten in one arm tells little;
- the interval shown is at 90 % of what there is now; for the words "they differ" a p-value is taken only when
  the smaller arm reaches 6, 12 and 24 servings (`LOOKS`), so that asking in between changes nothing. The
  smallest of them times `LOOKS_COST` stands for the question;
- over all questions asked so far Holm's step-down method [holm1979] keeps the chance of any
  false verdict at `ALPHA`. Benjamini and Hochberg's at .10 alone does not reach that.

`LOOKS_COST`: the smallest of the three p-values falls below .005/2.63 in .005 of two million simulated
Brownian paths looked at after 6, 12 and 24; below .05/2.40 in .05.

What it does to simulated records: tests/bench/conclusions_compare.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, pi, sqrt

import numpy as np

from analysis.errors import InsufficientData
from analysis.evenness import T_95
from analysis.ranking import CARBS_SLOPE
from analysis.results import Floats, Serving

LOOKS = (6, 12, 24)
LOOKS_COST = 2.63
ALPHA = 0.035
"""At 0.05 a false verdict stood in .07 of simulated records of ten questions, since habits come in runs and
go with portions; at this, in at most .05."""
NEED_EACH = 2
USUAL_SD = 1.15
"""SD of t from serving to serving, by which the prior of the slope is weighed against the servings."""
MEAL_SHARES, DAY_SHARES = (0.0, 0.5, 1.0, 1.7), (0.0, 0.35, 0.7, 1.5)
"""SD between meals, and between days, as multiples of that from serving to serving."""
LEAST_SD = 0.6
"""No SD of t is taken to be smaller: what the sensor alone does, since two alike servings are luck."""


@dataclass(frozen=True, slots=True)
class Arms:
    """Two arms and the second minus the first, in points of evenness, with its interval at 0.9.

    n: servings of each; score: mean evenness of each at the portion that both have on average
    p: for the words, looks counted in, 1.0 before the first; next_look: servings each at which it looks again
    """

    n: tuple[int, int]
    score: tuple[float, float]
    difference: float
    low: float
    high: float
    p: float
    next_look: int | None


def compare_arms(first: Sequence[Serving], second: Sequence[Serving], days: Sequence[Sequence[int]]) -> Arms:
    """Compare two arms of scored servings.

    days: of each arm the day number of each serving, on the person's clock
    Raises InsufficientData when an arm has fewer than two servings.
    """
    n = len(first), len(second)
    if min(n) < NEED_EACH:
        raise InsufficientData("comparing", min(n), NEED_EACH, "servings each")
    rows = _rows((first, second), days)
    p, look = 1.0, 0
    for end in range(1, len(rows) + 1):
        each = [sum(row.arm == k for row in rows[:end]) for k in (0, 1)]
        if look < len(LOOKS) and min(each) == LOOKS[look]:
            fit = _fit(rows[:end])
            p = min(p, LOOKS_COST * p_of(fit.effect / fit.error, fit.df))
            look += 1
    fit = _fit(rows)
    half = T_95[min(fit.df, len(T_95)) - 1] * fit.error
    # lost = t²: a difference d of t around the level m is one of 2·m·d points
    slope = 2 * max(fit.level, LEAST_SD)
    return Arms(
        n,
        (_score(fit.level - fit.effect / 2), _score(fit.level + fit.effect / 2)),
        -slope * fit.effect,
        -slope * (fit.effect + half),
        -slope * (fit.effect - half),
        min(p, 1.0),
        LOOKS[look] if look < len(LOOKS) else None,
    )


def _score(t: float) -> float:
    return 100.0 - min(max(t, 0.0) ** 2, 100.0)


@dataclass(frozen=True, slots=True)
class _Row:
    """One serving: t, its arm, day, meal and root of carbohydrate (g), None where not known."""

    t: float
    arm: int
    day: int
    meal: str
    carbs: float | None


@dataclass(frozen=True, slots=True)
class _Fit:
    effect: float
    error: float
    df: int
    level: float


def _rows(arms: tuple[Sequence[Serving], Sequence[Serving]], days: Sequence[Sequence[int]]) -> list[_Row]:
    """Return the servings of both arms in the order of time."""
    rows = []
    for k, (servings, on) in enumerate(zip(arms, days, strict=True)):
        for serving, day in zip(servings, on, strict=True):
            assert serving.evenness is not None
            t = sqrt(max(100.0 - serving.evenness.score, 0.0))
            carbs = None if serving.carbs_g is None else sqrt(max(serving.carbs_g, 0.0))
            rows.append((serving.at, serving.entry_id, _Row(t, k, day, serving.key, carbs)))
    return [row for _, _, row in sorted(rows, key=lambda r: r[:2])]


def _fit(rows: Sequence[_Row]) -> _Fit:
    """Return the effect on t of the second arm by generalised least squares, the shares by REML.

    A row more holds what is known of the slope beforehand.
    """
    arm = np.array([row.arm for row in rows]) - 0.5
    known = [row.carbs for row in rows if row.carbs is not None]
    usual = float(np.mean(known)) if known else 0.0
    carbs = np.array([usual if row.carbs is None else row.carbs for row in rows]) - usual
    prior = USUAL_SD / CARBS_SLOPE[1]
    x = np.vstack([np.column_stack([np.ones(arm.size), arm, carbs]), [0.0, 0.0, prior]])
    y = np.append([row.t for row in rows], prior * CARBS_SLOPE[0])
    same_meal, same_day = (_same([getattr(row, name) for row in rows]) for name in ("meal", "day"))
    best = None
    for of_meal in MEAL_SHARES if same_meal.any() else (0.0,):
        for of_day in DAY_SHARES if same_day.any() else (0.0,):
            v = np.eye(y.size)
            v[:-1, :-1] += of_meal**2 * (same_meal + np.eye(arm.size)) * bool(of_meal)
            v[:-1, :-1] += of_day**2 * (same_day + np.eye(arm.size)) * bool(of_day)
            vx = np.linalg.solve(v, x)
            inner = x.T @ vx
            b = np.linalg.solve(inner, vx.T @ y)
            off = y - x @ b
            df = arm.size - 2
            variance = float(off @ np.linalg.solve(v, off)) / max(df, 1)
            reml = df * np.log(max(variance, 1e-9)) + np.linalg.slogdet(v)[1] + np.linalg.slogdet(inner)[1]
            if best is None or reml < best[0]:
                meals = len({row.meal for row in rows}) - 1 if of_meal else 0
                best = (float(reml), b, variance, np.linalg.inv(inner), max(df - meals, 1))
    assert best is not None
    _, b, variance, inverse, df = best
    variance = max(variance, LEAST_SD**2 / max(1.0, arm.size / 12))
    return _Fit(float(b[1]), sqrt(variance * float(inverse[1, 1])), df, float(b[0]))


def _same(names: Sequence[object]) -> Floats:
    """Return 1 where two different rows share a name, shape (n, n)."""
    same: Floats = np.array([[float(a == b) for b in names] for a in names])
    np.fill_diagonal(same, 0.0)
    return same


def p_of(t: float, df: int) -> float:
    """Return the two-sided p-value of Student's t with whole degrees of freedom.

    The finite sums of Abramowitz & Stegun 26.7.3 and 26.7.4.

    >>> round(p_of(2.228, 10), 3)
    0.05
    """
    theta = atan(abs(t) / sqrt(df))
    sine, cosine = abs(t) / sqrt(df + t * t), sqrt(df / (df + t * t))
    term, total = (1.0, 1.0) if df % 2 == 0 else (cosine, cosine)
    for k in range(2 if df % 2 == 0 else 3, df - 1, 2):
        term *= (k - 1) / k * cosine**2
        total += term
    if df % 2 == 0:
        inside = sine * total
    elif df == 1:
        inside = 2 * theta / pi
    else:
        inside = 2 / pi * (theta + sine * total)
    return max(0.0, 1.0 - inside)


def tell_apart(p: Sequence[float]) -> list[bool]:
    """Tell for each of all questions asked so far whether its arms differ (Holm, `ALPHA` for all together).

    >>> tell_apart([0.03, 0.001, 0.017])
    [True, True, True]
    >>> tell_apart([0.03, 0.001, 0.02])
    [False, True, False]
    """
    order = sorted(range(len(p)), key=lambda k: p[k])
    told = [False] * len(p)
    for rank, k in enumerate(order):
        if p[k] > ALPHA / (len(p) - rank):
            break
        told[k] = True
    return told
