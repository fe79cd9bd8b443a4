"""More about the shape of a curve: how steep, a second rise, and what comes after two hours.

Fat delays a rise, so that two hours can make a later, longer rise look like a benefit. The late measures look
at up to four hours, as far as readings reach without a hole wider than 45 min, without a reading beyond the
sensor's limits and without another meal; nothing is extrapolated. A measure whose stretch is not covered (to
10 min before its end) is None, and `missing` says why.
"""

from dataclasses import dataclass, field

import numpy as np

from analysis.areas import iauc
from analysis.results import Floats

LATE_END_MIN = 240.0
STEEP_MIN = 15.0
SECOND_RISE_MMOL = 0.5
"""A smaller climb after the peak is not told from the noise of a sensor."""


@dataclass(frozen=True, slots=True)
class Late:
    """The measures of the late stretch, named as in `analysis.results.Curve`."""

    until_min: float
    second_rise_mmol: float | None
    second_rise_at_min: float | None
    late_fall_mmol: float | None
    area_3h: float | None
    area_4h: float | None
    missing: dict[str, str] = field(default_factory=dict)


def find_steepest(x: Floats, y: Floats) -> tuple[float, float]:
    """Return the steepest quarter of an hour up and down, in mmol/L a minute, both >= 0.

    x, y: corners of the curve, shape (n,), n >= 2. The straight lines between them are compared with
    themselves 15 min later, so that 5- and 15-minute data are measured alike; over sparser ones it is the
    slope of a single line.

    >>> import numpy as np
    >>> up, down = find_steepest(np.array([0.0, 30, 60, 120]), np.array([5.0, 8, 7, 5]))
    >>> round(up, 3), round(down, 3)
    (0.1, 0.033)
    """
    step = min(STEEP_MIN, float(x[-1] - x[0]))
    starts = np.concatenate([x, x - step])
    starts = starts[(starts >= x[0]) & (starts <= x[-1] - step)]
    change = np.interp(starts + step, x, y) - np.interp(starts, x, y)
    return max(0.0, float(change.max())) / step, max(0.0, -float(change.min())) / step


def find_second_rise(t: Floats, v: Floats) -> tuple[float, float | None]:
    """Return the largest climb of the readings (from a low to a later high) and when it is at its top.

    t, v: readings from the peak on, shape (n,), n >= 1. (0, None) when no climb reaches 0.5 mmol/L.

    >>> import numpy as np
    >>> find_second_rise(np.array([45.0, 90, 135, 180]), np.array([8.0, 5.5, 7.0, 5.0]))
    (1.5, 135.0)
    """
    climb = v - np.minimum.accumulate(v)
    top = int(climb.argmax())
    if climb[top] < SECOND_RISE_MMOL:
        return 0.0, None
    return float(climb[top]), float(t[top])


def measure_late(
    t: Floats, v: Floats, *, peak_min: float, baseline: float, ends: tuple[float, str], max_gap_min: float
) -> Late:
    """Measure what readings show from the bite to four hours.

    t, v: the joined readings from the bite on, shape (n,); `peak_min`: when the two-hour peak was
    ends: (minutes, why) where the stretch must end: another meal, a reading beyond the sensor's limits
    """
    x, y, why = _follow(t, v, ends, max_gap_min)
    until = float(x[-1])
    peak = int(x.searchsorted(peak_min))
    areas: list[float | None] = []
    missing: dict[str, str] = {}
    rise: float | None = None
    rise_at = None
    if peak < x.size:
        rise, rise_at = find_second_rise(x[peak:], y[peak:])
    else:
        missing["second_rise_mmol"] = why
    for name, end in (("area_3h", 180.0), ("area_4h", LATE_END_MIN)):
        if until < end - 10.0:
            missing[name] = why
            areas.append(None)
        else:
            areas.append(iauc(*cut(x, y, end), baseline))
    fall = None
    if areas[0] is None:
        missing["late_fall_mmol"] = why
    else:
        fall = max(0.0, baseline - float(y[int(x.searchsorted(120.0)) :].min()))
    return Late(until, rise, rise_at, fall, areas[0], areas[1], missing)


def cut(x: Floats, y: Floats, end: float) -> tuple[Floats, Floats]:
    """Return the corners of a curve up to `end` (min), where its value is interpolated."""
    k = int(x.searchsorted(end))
    if k == x.size:
        return x, y
    if x[k] == end:
        return x[: k + 1], y[: k + 1]
    value = y[k - 1] + (y[k] - y[k - 1]) * (end - x[k - 1]) / (x[k] - x[k - 1])
    return np.append(x[:k], end), np.append(y[:k], value)


def _follow(t: Floats, v: Floats, ends: tuple[float, str], max_gap_min: float) -> tuple[Floats, Floats, str]:
    """Return the curve as far as it can be followed, and why it ends there."""
    holes = np.flatnonzero(np.diff(t) > max_gap_min)
    last = int(holes[0]) if holes.size else t.size - 1
    x, y = t[: last + 1], v[: last + 1]
    end, why = min(ends, (LATE_END_MIN, ""))
    if x[-1] > end:
        return *cut(x, y, end), why
    if holes.size:
        return x, y, f"no readings from {t[last]:.0f} to {t[last + 1]:.0f} min after the first bite"
    return x, y, f"readings stop {x[-1]:.0f} min after the first bite"
