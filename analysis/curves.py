"""One meal's curve: from readings to the measures of its first two hours.

Which readings make the baseline: those from 15 min before the first bite to the bite, their mean (with
samples at -15 and 0, or -5 and 0, this is the rule of the laboratories [lightowler2008]). None there:
those from 30 to 15 min before, flagged. None there either: the first reading up to 10 min after, flagged.

What counts as covered: successive readings up to `MAX_GAP_MIN` (45) apart are joined by a straight line.
That is one rule for every density, since a series must not be refused for holding more than another: it
admits finger-pricks every 30 min (the laboratories' own spacing after the first hour), 15-minute readings
with two missing, and 5-minute readings with eight missing. The joined stretch may begin up to
`EDGE_MIN` (10) after the first bite and end up to 10 min before the end of the window; there is no
extrapolation. Everything else is refused: a hole wider than 45 min may have held the peak. So an accepted
two-hour curve is always covered for at least 100 of its 120 minutes, and most are for all. Gaps wider than
20 min that are unusual for their series, and series of usual spacing above 20 min, are flagged.
"""

from collections.abc import Sequence

import numpy as np

from analysis.areas import iauc, share_above
from analysis.errors import InsufficientData
from analysis.results import Curve, Floats

WINDOW_MIN = 120.0
BASELINE_MIN = 15.0
BASELINE_FAR_MIN = 30.0
MAX_GAP_MIN = 45.0
EDGE_MIN = 10.0
FLAG_GAP_MIN = 20.0
HIGH_MMOL = 7.8
"""The usual two-hour line for plasma after 75 g glucose [ada2021]; here only a line to measure against."""
POSSIBLE_MMOL = (0.5, 60.0)
"""Values outside are no glucose in mmol/L (60 mmol/L is above any meter; 90 is fasting in mg/dL)."""


def measure_curve(
    minutes: Floats, mmol: Floats, *, window_min: float = WINDOW_MIN, limits: Sequence[str] = ()
) -> Curve:
    """Measure the curve after a meal.

    minutes, mmol: readings, shape (n,), minutes from the first bite (negative before it), in any order;
    pairs with a NaN are left out, readings of the same minute are averaged
    limits: for each reading "" or "low limit" or "high limit", when the sensor said so
    The peak is the highest reading within the window, never an interpolated value; the area, the time above
    7.8, the lowest point and the way back follow the straight lines between readings, with the values at 0
    and at the end of the window interpolated between their neighbours. When readings stop less than 10 min
    before the end, the last one stands for the value there. A curve that never rises is back at once:
    `back_after_min` is then its minutes to peak.

    Raises InsufficientData when the baseline or a part of the window is missing (`what` says which), and
    ValueError for arrays of unlike shapes or values that are no glucose in mmol/L.

    Rises by 2 and is back after 90 min: the triangle above 5 has the area 90·2/2.

    >>> import numpy as np
    >>> curve = measure_curve(np.array([-10.0, 0, 30, 60, 90, 120]), np.array([5.0, 5, 6, 7, 5, 5]))
    >>> curve.rise_mmol, curve.minutes_to_peak, curve.area_2h, curve.back_after_min
    (2.0, 60.0, 90.0, 90.0)
    >>> curve.flags
    ('a reading only every 30 min',)
    """
    t, v = _tidy(minutes, mmol)
    flags = _limit_flags(minutes, limits, window_min)
    baseline, baseline_n, baseline_flag = _find_baseline(t, v)
    first, after = (int(i) for i in (t.searchsorted(0.0), t.searchsorted(window_min, side="right")))
    if first == after:
        raise InsufficientData("no readings after the first bite", 0, window_min - EDGE_MIN, "min")
    x, y = _join(t, v, first, after, window_min)
    peak = first + int(v[first:after].argmax())
    d = y - baseline
    return Curve(
        baseline_mmol=baseline,
        baseline_n=baseline_n,
        peak_mmol=float(v[peak]),
        rise_mmol=max(0.0, float(v[peak]) - baseline),
        minutes_to_peak=float(t[peak]),
        area_2h=iauc(x, y, baseline),
        two_hour_mmol=float(y[-1]),
        dip_mmol=max(0.0, -float(d.min())),
        minutes_over_7_8=float((np.diff(x) * share_above(y - HIGH_MMOL)).sum()),
        back_after_min=_find_back(x, d, float(t[peak])),
        coverage=float(x[-1] - x[0]) / window_min,
        flags=(*baseline_flag, *_gap_flags(t, x, first, after, window_min), *flags),
    )


def _tidy(minutes: Floats, mmol: Floats) -> tuple[Floats, Floats]:
    """Return the readings sorted, without NaN, one a minute stamp."""
    t, v = np.asarray(minutes, dtype=np.float64), np.asarray(mmol, dtype=np.float64)
    if t.ndim != 1 or t.shape != v.shape:
        raise ValueError(f"minutes and mmol must be of one length, not {t.shape} and {v.shape}")
    known = ~(np.isnan(t) | np.isnan(v))
    if not known.all():
        t, v = t[known], v[known]
    if v.size and not (POSSIBLE_MMOL[0] <= v.min() and v.max() <= POSSIBLE_MMOL[1]):
        odd = v.max() if v.max() > POSSIBLE_MMOL[1] else v.min()
        raise ValueError(f"{odd:g} is no glucose in mmol/L; is the series in another unit?")
    if (np.diff(t) <= 0).any():
        t, place, times = np.unique(t, return_inverse=True, return_counts=True)
        v = np.bincount(place, weights=v) / times
    return t, v


def _find_baseline(t: Floats, v: Floats) -> tuple[float, int, tuple[str, ...]]:
    """Return the baseline, how many readings made it, and a flag where it is second best."""
    far, near = (int(i) for i in t.searchsorted([-BASELINE_FAR_MIN, -BASELINE_MIN]))
    bite, late = (int(i) for i in t.searchsorted([0.0, EDGE_MIN], side="right"))
    if near < bite:
        return float(v[near:bite].mean()), bite - near, ()
    if far < near:
        return float(v[far:near].mean()), near - far, (f"baseline from {-t[near - 1]:.0f} min before",)
    if bite < late:
        return float(v[bite]), 1, (f"baseline from {t[bite]:.0f} min after the first bite",)
    what = f"no readings from {BASELINE_FAR_MIN:.0f} min before the first bite to {EDGE_MIN:.0f} min after it"
    raise InsufficientData(what, 0, 1)


def _join(t: Floats, v: Floats, first: int, after: int, window_min: float) -> tuple[Floats, Floats]:
    """Return the corners of the curve within the window, its ends interpolated where neighbours allow."""
    x, y = t[first:after], v[first:after]
    gaps = np.diff(x)
    need = window_min - EDGE_MIN
    covered = float(gaps[gaps <= MAX_GAP_MIN].sum())
    if x[0] > 0:
        if first > 0 and x[0] - t[first - 1] <= MAX_GAP_MIN:
            x, y = np.append(0.0, x), np.append(np.interp(0.0, t, v), y)
        elif x[0] > EDGE_MIN:
            what = f"no readings in the first {x[0]:.0f} min after the first bite"
            raise InsufficientData(what, covered, need, "min")
    if gaps.size and gaps.max() > MAX_GAP_MIN:
        hole = int(gaps.argmax())
        start, end = t[first + hole], t[first + hole + 1]
        what = f"no readings from {start:.0f} to {end:.0f} min after the first bite"
        raise InsufficientData(what, covered, need, "min")
    if x[-1] < window_min:
        if after < t.size and t[after] - x[-1] <= MAX_GAP_MIN:
            x, y = np.append(x, window_min), np.append(y, np.interp(window_min, t, v))
        elif x[-1] < need:
            what = f"readings stop {x[-1]:.0f} min after the first bite"
            raise InsufficientData(what, float(x[-1]), need, "min")
    return x, y


def _find_back(x: Floats, d: Floats, peak_min: float) -> float | None:
    """Return when the height `d` over the baseline is first back at zero from the peak on."""
    peak = int(x.searchsorted(peak_min))
    down = np.flatnonzero(d[peak:] <= 0)
    if down.size == 0:
        return None
    k = peak + int(down[0])
    if k == peak:
        return peak_min
    return float(x[k - 1] + (x[k] - x[k - 1]) * d[k - 1] / (d[k - 1] - d[k]))


def _gap_flags(t: Floats, x: Floats, first: int, after: int, window_min: float) -> tuple[str, ...]:
    # a neighbour outside the window counts where the curve was joined to it
    gaps = np.diff(t[first - int(x[0] < t[first]) : after + int(x[-1] > t[after - 1])])
    flags = []
    if gaps.size:
        usual = float(np.sort(gaps)[gaps.size // 2])
        if gaps.max() > max(FLAG_GAP_MIN, 1.5 * usual):
            flags.append(f"gap of {gaps.max():.0f} min")
        if usual > FLAG_GAP_MIN:
            flags.append(f"a reading only every {usual:.0f} min")
    if x[-1] < window_min:
        flags.append(f"readings stop at {x[-1]:.0f} min")
    return tuple(flags)


def _limit_flags(minutes: Floats, limits: Sequence[str], window_min: float) -> tuple[str, ...]:
    if limits and len(limits) != len(minutes):
        raise ValueError(f"limits must be one for each reading, not {len(limits)} for {len(minutes)}")
    if not any(limits):
        return ()
    near = (np.asarray(minutes) >= -BASELINE_FAR_MIN) & (np.asarray(minutes) <= window_min)
    found = {limit for limit, is_near in zip(limits, near, strict=True) if is_near and limit}
    return tuple(f"a reading at the sensor's {limit}" for limit in sorted(found))
