"""When the first bite really was: where the curve begins to climb, against when the bite was noted.

Notes are written after the meal more often than before it, and a bite noted late loses the first part of its
rise twice: the two hours begin too late, and what has risen by then is taken for the baseline.

Method. Up to the bite glucose goes along a line, from then on it climbs along a steeper one: a line of two
pieces whose bend lies `LAG_MIN` after the first bite (what a meal takes to reach the sensor). Each bend from
40 min before the noted bite to 10 min after it is weighed by how well the readings fit, their noise being
autocorrelated, and by how late people note: normal, SD 10 min around the noted time (judgement). Slopes and
level are averaged over, not fitted: before the bend a slope of SD 0.5 mmol/L an hour, after it one steeper
by up to 4 or so. The mean of these weights is the estimate, their SD says how sure it is. Looked at are the
readings from 60 min before the noted bite to where four fifths of the climb are done, at most 20 min after.

On simulated meals of many shapes, areas 50 to 250, a sensor of SD 0.15 (tests/bench/conclusions_onset.py,
none of it a two-piece line; read every 5 and every 15 min; errors of the score are root mean square, over all
meals, in points):

    bite noted          flagged     score off as noted     after the correction
    rightly             .01, .01    4.3, 4.1               4.3, 4.1
    15 min late         .81, .83    11.7, 13.3             4.5, 4.6
    30 min late         .92, .85    28.0, 28.2             5.7, 6.3

Of the flagged the score is off by +10 (15 min) and +25 (30 min), and by less than 1 after the correction.
Where glucose climbs by 0.8 mmol/L an hour all morning, .07 of bites noted rightly are flagged. Of responses
under 40 mmol·min/L hardly any is (none rightly, .07 and .09 late): too little of them is to be seen. Half an
hour late, one in ten leaves open when it began (SD over 10 min); its baseline is then taken from 45 to 30 min
before. Of 698 real meals with nothing in the two hours before [phillips2023] .14 are flagged.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import erf, sqrt

import numpy as np

from analysis.results import Floats

EARLIEST_MIN, LATEST_MIN, STEP_MIN = -10.0, 40.0, 2.5
NOTED_SD_MIN = 10.0
LAG_MIN = 6.0
LATE_MIN = 8.0
"""From here on a bite counts as logged late."""
UNSURE_SD_MIN = 10.0
FROM_MIN, TO_MIN = -60.0, 20.0
CLIMBED = 0.8
NOISE_SD, NOISE_AR, AR_MIN = 0.15, 0.7, 5.0
"""Sensor noise (mmol/L) and its autocorrelation over 5 min: common values, no source."""
LEVEL_SD, SLOPE_SD, CLIMB_SD = 3.0, 0.5 / 60, 3.6 / 60
RISEN_MMOL = 0.2
"""With less risen around the bite than this, it was not late."""
LEAST_N = 2
_BEFORE = np.arange(EARLIEST_MIN, LATEST_MIN + 0.1, STEP_MIN)


@dataclass(frozen=True, slots=True)
class Onset:
    """How long before the noted bite the first one was (min; negative = after it), and the SD of that."""

    before_min: float
    sd_min: float

    @property
    def late(self) -> bool:
        """Whether the bite was noted late."""
        return self.before_min > LATE_MIN

    @property
    def unsure(self) -> bool:
        """Whether the readings leave open when it was."""
        return self.sd_min > UNSURE_SD_MIN


def find_onset(t: Floats, v: Floats) -> Onset | None:
    """Return when the first bite was; None where nothing had risen by the noted one, or too little was read.

    t, v: minutes from the noted bite, sorted, and mmol/L, both shape (n,), without NaN

    Nothing for 20 min, then a climb of 0.1 mmol/L a minute from 15 min before the noted bite on:

    >>> import numpy as np
    >>> t = np.arange(-60.0, 61, 5)
    >>> onset = find_onset(t, 5 + 0.1 * np.clip(t + 15, 0, 40))
    >>> onset.late, bool(abs(onset.before_min - 21) < 3)
    (True, True)
    """
    start, early, near, stop, far = (
        int(i) for i in t.searchsorted([FROM_MIN, -30.0, -10.0, 5.0 + 1e-9, 45.0])
    )
    if early - start < LEAST_N or stop - near < 1:
        return None
    level = float(v[start:early].sum()) / (early - start)
    if float(v[near:stop].sum()) / (stop - near) - level < RISEN_MMOL:
        return None
    top = early + int(v[early:far].argmax())
    climbed = early + int((v[early : top + 1] >= level + CLIMBED * (v[top] - level)).argmax())
    end = min(max(climbed + 1, early + LEAST_N), int(t.searchsorted(TO_MIN, side="right")))
    return _weigh(t[start:end], v[start:end])


def _weigh(t: Floats, v: Floats) -> Onset:
    """Weigh the bends by how well they fit, and by the prior."""
    fits, known = _lay_out(tuple(np.rint(t).tolist()))
    fit = fits @ (v - v.mean())
    up = np.array([1.0 + erf(z) for z in (fit * sqrt(0.5)).tolist()])
    log_weight = known + fit**2 / 2 + np.log(np.maximum(up, 1e-12))
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float(weight @ _BEFORE)
    return Onset(mean, sqrt(max(0.0, float(weight @ _BEFORE**2) - mean**2)))


@lru_cache(maxsize=512)
def _lay_out(minutes: tuple[float, ...]) -> tuple[Floats, Floats]:
    """Return what depends on the whole minutes of the readings only, and these come again meal by meal.

    A matrix, shape (bends, n), that makes of readings how well a climb from each bend fits (in SDs; positive
    = upwards), and the log weights but for that. Priors on level, slope and climb are integrated exactly.
    """
    t = np.array(minutes)
    bends = _whiten(t, np.maximum(0.0, t - (LAG_MIN - _BEFORE)[:, None]))
    lines = _whiten(t, np.stack([np.ones_like(t), t - FROM_MIN]))
    precision = lines @ lines.T + np.diag([LEVEL_SD**-2, SLOPE_SD**-2])
    # what level and slope explain is taken off the bends
    rest = bends - (bends @ lines.T) @ np.linalg.solve(precision, lines)
    size = (bends * rest).sum(axis=1) + CLIMB_SD**-2
    fits = rest @ _whiten(t, np.eye(t.size)).T / np.sqrt(size)[:, None]
    return fits, -np.log(size) / 2 - (_BEFORE / NOTED_SD_MIN) ** 2 / 2


def _whiten(t: Floats, rows: Floats) -> Floats:
    """Return rows of values at `t` as they would be with independent noise of SD 1."""
    kept = NOISE_AR ** (np.diff(t) / AR_MIN)
    out = rows.copy()
    out[:, 1:] = (rows[:, 1:] - kept * rows[:, :-1]) / np.sqrt(1 - kept**2)
    white: Floats = out / NOISE_SD
    return white
