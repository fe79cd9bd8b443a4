"""What a gap within the two hours may hide: how far the score may be off for the straight line over it.

Method. Readings up to 45 min apart are joined by a straight line (`analysis.curves`), and the curve may have
gone anywhere in between. Over each gap wider than `GAP_MIN` (20 min) the line is replaced by 200 Brownian
bridges (fixed seed) that leave from one end and arrive at the other; their roughness is the curve's own at
the width of the gap: how far its readings lie from the line between what is half a gap before and after
them, where it is read. A gap whose middle lies within the first hour most likely holds the bend at the peak,
which the rest of the curve does not show: there a share of the rise is added (`PEAK_SHARE`). Each bridge is
scored; the root mean square of what their scores differ by from the one given is what the gap adds to the
error of the score.

On 400 simulated meals each, of other shapes than bridges (tests/bench/conclusions_gaps.py; areas 40 to 250, a
sensor of SD 0.15, gaps of 25 to 45 min; errors against the whole curve's score, root mean square, points):

    the gap begins          -5 to 10 min   10 to 45   45 to 90
    every 5 min, off            3.7           4.6        1.2
      said, within 1.645 of it  3.2, .92      4.5, .90   1.9, .95
    every 15 min, off           3.7           5.8        1.2
      said, within 1.645 of it  4.0, .93      4.9, .86   2.1, .97

A gap over the peak makes the score too high, by 3 points on average: the line cuts the peak off. The range is
widened, the score is not corrected. Without the share of the rise a third of these errors would be said.
"""

from math import hypot

import numpy as np

from analysis.curves import HIGH_MMOL, WINDOW_MIN
from analysis.evenness import PARTS
from analysis.pressed import START_FLAG
from analysis.results import Curve, Floats

GAP_MIN = 20.0
GAP_FLAGS = ("gap of", "a reading only every")
LEVEL_SD_POINTS = 5.0
"""What a level found before a dip adds: most of its error (`analysis.pressed`)."""
DRAWS = 200
SEED = 20260302
STEP_MIN = 5.0
LATE_MIN = 180.0
LEAST_N = 3
UNKNOWN_MMOL = 0.6
"""How far a curve may be from the middle of a line where its own readings do not show it: judgement."""
PEAK_MIN, PEAK_SHARE = 60.0, 0.3
"""Before this minute a curve bends by more than it does elsewhere: for 45 min by this share of its rise."""
LEAST_MMOL = 0.15
"""A bridge in the middle of a gap is never surer than one reading of a sensor."""


def find_unread(curve: Curve, minutes: Floats, mmol: Floats) -> float:
    """Return what was not read adds to the error of a curve's score (SD, points): gaps, and the level before.

    minutes, mmol: what it was measured on, sorted, NaN where there is no value
    """
    spread = LEVEL_SD_POINTS if START_FLAG in curve.flags else 0.0
    if any(flag.startswith(GAP_FLAGS) for flag in curve.flags):
        known = ~np.isnan(mmol)
        spread = hypot(spread, find_gap_spread(minutes[known], mmol[known], curve.baseline_mmol))
    return spread


def find_gap_spread(t: Floats, v: Floats, baseline: float) -> float:
    """Return what gaps within the two hours add to the error of the score (root mean square, points).

    t, v: the readings that a curve is measured on, minutes from the first bite, strictly increasing, and
    mmol/L, both shape (n,), without NaN; 0 without a gap
    """
    wide = [
        (a, b)
        for a, b in zip(t[:-1].tolist(), t[1:].tolist(), strict=True)
        if b - a > GAP_MIN and b > 0 and a < WINDOW_MIN
    ]
    if not wide:
        return 0.0
    rng = np.random.default_rng(SEED)
    x = np.unique(np.concatenate([t, *(np.arange(a, b, STEP_MIN) for a, b in wide), [0.0, WINDOW_MIN]]))
    x = x[(x >= max(0.0, t[0])) & (x <= min(WINDOW_MIN, t[-1]))]
    line = np.interp(x, t, v)
    drawn = np.repeat(line[None], DRAWS, axis=0)
    for a, b in wide:
        inside = (x > a) & (x < b)
        if inside.any():
            rough = _find_roughness(t, v, a, b)
            if (a + b) / 2 < PEAK_MIN:
                rough = hypot(rough, PEAK_SHARE * (b - a) / 45 * max(0.0, float(v[t >= 0].max()) - baseline))
            drawn[:, inside] += _draw(rng, x[inside], a, b, rough)
    off = _lose(x, drawn, baseline) - _lose(x, line[None], baseline)
    return float(np.sqrt(np.mean(off**2)))


def _find_roughness(t: Floats, v: Floats, start: float, end: float) -> float:
    """Return how far the middle of a line as wide as the gap lies from the readings elsewhere (mmol/L)."""
    half = (end - start) / 2
    at = t[(t >= -half) & (t <= LATE_MIN)]
    left, right = at - half, at + half
    whole = (left >= t[0]) & (right <= t[-1]) & ((right <= start) | (left >= end))
    if int(whole.sum()) < LEAST_N:
        return UNKNOWN_MMOL
    off = np.interp(at, t, v) - (np.interp(left, t, v) + np.interp(right, t, v)) / 2
    return max(LEAST_MMOL, float(np.sqrt(np.mean(off[whole] ** 2))))


def _draw(rng: np.random.Generator, x: Floats, start: float, end: float, middle_mmol: float) -> Floats:
    """Return Brownian bridges at `x` from 0 at `start` to 0 at `end`, shape (DRAWS, x.size)."""
    steps = np.diff(np.concatenate([[start], x, [end]]))
    walk = np.cumsum(rng.standard_normal((DRAWS, steps.size)) * np.sqrt(steps), axis=1)
    tied = walk[:, :-1] - walk[:, -1:] * (x - start) / (end - start)
    drawn: Floats = tied * middle_mmol * 2 / np.sqrt(end - start)
    return drawn


def _lose(x: Floats, y: Floats, baseline: float) -> Floats:
    """Return the points that curves lose, shape (k,), for `y` of shape (k, n) at the minutes `x`."""
    d, steps = y - baseline, np.diff(x)
    above = np.maximum(d, 0.0)
    area = (steps * (above[:, :-1] + above[:, 1:]) / 2 * _share(d)).sum(axis=1)
    high = (steps * _share(y - HIGH_MMOL)).sum(axis=1)
    measures = (above.max(axis=1), area, high, np.maximum(-d, 0.0).max(axis=1))
    lost: Floats = sum(
        (
            np.clip((measure - part.free) * part.per_unit, 0.0, part.cap)
            for part, measure in zip(PARTS, measures, strict=True)
        ),
        np.zeros(len(y)),
    )
    return lost


def _share(d: Floats) -> Floats:
    """Return the share of each straight segment of rows that lies above zero, as `analysis.areas` has it."""
    left, right = d[:, :-1], d[:, 1:]
    above = np.maximum(np.maximum(left, right), 0.0)
    span = above + np.maximum(-np.minimum(left, right), 0.0)
    share: Floats = np.divide(above, span, out=np.zeros_like(span), where=span > 0)
    return share
