"""What a dip of lying on the sensor leaves of a curve: its readings are left out, the level before it stands.

The level a meal starts from: where the quarter hour before the bite has readings that no dip holds, it is
found from those (`analysis.baseline`); where it has none, it is the mean of the readings in the
`BEFORE_MIN` (45) before the dip, as long as the dip began at most `REACH_MIN` (three hours and a half) before
the bite. Where the dip holds the bite itself the curve begins on that level.

On 150 simulated breakfasts each, of 50 to 250 mmol·min/L, with a dip of 25 to 170 min (a quarter to half of
the value) that ends so long before the bite, the score against that without the dip, in points
(tests/bench/conclusions_dips.py; root mean square, median):

    ends before the bite          20 min       5 min        0 min        10 min after it
    every 5 min, as read       15.6,  0.0   20.4, 18.7   29.7, 28.0   36.8, 35.4
      left out                  4.5,  0.0    3.5,  1.1    8.0,  2.0    7.4,  3.6
    every 15 min, as read      18.3,  0.0   29.2, 25.8   35.4, 33.2   35.6, 33.8
      left out                  3.9,  0.0    6.8,  3.5    7.2,  3.4    8.4,  3.2

What is left is the level's own wandering, the noise of few readings, and the dips of 5 % that are not found;
a level from before the dip widens the range of the score by 5 points (`analysis.bridging`).
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from analysis.baseline import FAR_MIN, NEAR_MIN, ONE_READING_SD, Baseline
from analysis.curves import WINDOW_MIN
from analysis.nights import NightDip
from analysis.results import Floats

BEFORE_MIN = 45.0
REACH_MIN = 210.0
START_FLAG = "baseline from before the dip"
_US = 60_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
Instants = NDArray[np.int64]


def find_spans(dips: Sequence[NightDip]) -> Instants:
    """Return when each dip begins and ends (µs), shape (dips, 2)."""
    spans = [[(at - _EPOCH) // timedelta(microseconds=1) for at in (d.from_at, d.to_at)] for d in dips]
    return np.array(spans, dtype=np.int64).reshape(-1, 2)


def mark_pressed(read_at: Instants, spans: Instants) -> NDArray[np.bool_]:
    """Return which readings a dip holds; read_at: sorted (µs), shape (n,)."""
    pressed = np.zeros(read_at.size, dtype=np.bool_)
    for first, after in zip(
        read_at.searchsorted(spans[:, 0]).tolist(),
        read_at.searchsorted(spans[:, 1], side="right").tolist(),
        strict=True,
    ):
        pressed[first:after] = True
    return pressed


def find_touched(bites: Instants, spans: Instants) -> dict[int, Instants]:
    """Return the dips that touch the curve of a bite, by the place of the bite: (dips, 2), in order.

    A curve is touched from half an hour before the bite, where its level is found, to its end.
    """
    found: dict[int, list[Instants]] = {}
    for span in spans:
        low = int(bites.searchsorted(span[0] - int(WINDOW_MIN * _US), side="right"))
        high = int(bites.searchsorted(span[1] + int(FAR_MIN * _US), side="right"))
        for k in range(low, high):
            found.setdefault(k, []).append(span)
    return {k: np.array(spans) for k, spans in found.items()}


def find_level(minutes: Floats, mmol: Floats, spans: Floats) -> Baseline | None:
    """Return the level before a dip, for a bite with no reading of its own in the quarter hour before it.

    minutes, mmol: the readings that no dip holds, minutes from the bite, sorted, shape (n,)
    spans: (from, to) of the dips (min), shape (dips, 2); None where it is not needed or not known
    """
    if ((minutes >= -NEAR_MIN) & (minutes <= 0)).any():
        return None
    before = spans[(spans[:, 0] <= 0) & (spans[:, 1] >= -FAR_MIN)]
    if before.size == 0 or before[0, 0] < -REACH_MIN:
        return None
    start = float(before[0, 0])
    level = mmol[(minutes < start) & (minutes >= start - BEFORE_MIN)]
    if level.size == 0:
        return None
    sd = float(level.std(ddof=1)) if level.size > 1 else None
    # the level may have moved meanwhile: no mean of many readings makes it surer than one
    return Baseline(float(level.mean()), level.size, sd, max(sd or 0.0, ONE_READING_SD), None, (START_FLAG,))


def start_level(minutes: Floats, mmol: Floats, spans: Floats, level_mmol: float) -> Floats:
    """Return readings with the level at the bite where a dip holds it; arguments as for `find_level`.

    minutes, mmol: all readings, those that a dip holds without a value
    """
    holds = (spans[:, 0] <= 0) & (spans[:, 1] >= 0)
    at = int(minutes.searchsorted(0.0, side="right")) - 1
    if not holds.any() or at < 0 or not np.isnan(mmol[at]):
        return mmol
    begun = mmol.copy()
    begun[at] = level_mmol
    return begun
