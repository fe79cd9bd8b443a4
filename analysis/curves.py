"""One meal's curve: from readings to the measures of its first two hours, and what follows them.

What it starts from: `analysis.baseline`. What comes after two hours, and how steep it is: `analysis.shapes`.

What counts as covered: successive readings up to `MAX_GAP_MIN` (45) apart are joined by a straight line.
That is one rule for every density, since a series must not be refused for holding more than another: it
admits finger-pricks every 30 min (the laboratories' own spacing after the first hour), 15-minute readings
with two missing, and 5-minute readings with eight missing. The joined stretch may begin up to
`EDGE_MIN` (10) after the first bite and end up to 10 min before the end of the window; there is no
extrapolation. Everything else is refused: a hole wider than 45 min may have held the peak. So an accepted
two-hour curve is always covered for at least 100 of its 120 minutes, and most are for all. Gaps wider than
20 min that are unusual for their series, and series of usual spacing above 20 min, are flagged.

Readings beyond the sensor's limits ("LO", "HI") come with a limit and without a number (NaN). No line is
drawn through one: within the two hours the curve is refused, since its peak or dip is not known. A reading
at a limit that has a number is used, and flagged. So is a start that is above 7.8 mmol/L already: what rises
from there is not what the meal does from a usual level.
"""

from collections.abc import Sequence

import numpy as np

from analysis.areas import iauc, share_above
from analysis.baseline import FAR_MIN, Baseline, find_baseline
from analysis.errors import InsufficientData
from analysis.flags import HIGH_START
from analysis.results import Curve, Floats
from analysis.shapes import find_steepest, measure_late

WINDOW_MIN = 120.0
MAX_GAP_MIN = 45.0
EDGE_MIN = 10.0
FLAG_GAP_MIN = 20.0
HIGH_MMOL = 7.8
"""The usual two-hour line for plasma after 75 g glucose [ada2021]; here only a line to measure against."""
VERY_HIGH_MMOL = 10.0
POSSIBLE_MMOL = (0.5, 60.0)
"""Values outside are no glucose in mmol/L (60 mmol/L is above any meter; 90 is fasting in mg/dL)."""


def measure_curve(
    minutes: Floats,
    mmol: Floats,
    *,
    window_min: float = WINDOW_MIN,
    limits: Sequence[str] = (),
    next_meal_min: float | None = None,
    baseline: Baseline | None = None,
) -> Curve:
    """Measure the curve after a meal.

    minutes, mmol: readings, shape (n,), minutes from the first bite (negative before it), in any order;
    pairs with a NaN are left out, readings of the same minute are averaged
    limits: for each reading "" or "low limit" or "high limit", when the sensor said so
    next_meal_min: when the next meal was; the late measures (after two hours) end there
    baseline: the level it starts from, where that is not the level just before this bite; None = find it
    The peak is the highest reading within the window, never an interpolated value; the area, the times above
    7.8 and 10, the lowest point and the way back follow the straight lines between readings, with the values
    at 0 and at the end of the window interpolated between their neighbours. When readings stop less than
    10 min before the end, the last one stands for the value there. A curve that never rises is back at once:
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
    >>> curve.area_3h, curve.missing["area_3h"]
    (None, 'readings stop 120 min after the first bite')
    """
    t, v = _tidy(minutes, mmol)
    flags, beyond = _check_limits(minutes, mmol, limits, window_min)
    baseline = baseline or find_baseline(t, v)
    base = baseline.mmol
    first, after = (int(i) for i in (t.searchsorted(0.0), t.searchsorted(window_min, side="right")))
    if first == after:
        raise InsufficientData("no readings after the first bite", 0, window_min - EDGE_MIN, "min")
    x, y = _join(t, v, first, after, window_min)
    peak = first + int(v[first:after].argmax())
    peak_min, peak_mmol = float(t[peak]), float(v[peak])
    d = y - base
    lowest = int(d.argmin())
    steps = np.diff(x)
    slope_up, slope_down = find_steepest(x, y)
    meal = (
        np.inf if next_meal_min is None else next_meal_min,
        f"next meal after {next_meal_min or 0:.0f} min",
    )
    late = measure_late(
        *_from_bite(t, v, x, y, first),
        peak_min=peak_min,
        baseline=base,
        ends=min(meal, beyond),
        max_gap_min=MAX_GAP_MIN,
    )
    high = (HIGH_START,) if base > HIGH_MMOL else ()
    return Curve(
        baseline_mmol=base,
        baseline_n=baseline.n,
        peak_mmol=peak_mmol,
        rise_mmol=max(0.0, peak_mmol - base),
        minutes_to_peak=peak_min,
        area_2h=iauc(x, y, base),
        two_hour_mmol=float(y[-1]),
        dip_mmol=max(0.0, -float(d[lowest])),
        minutes_over_7_8=_minutes_over(steps, y, peak_mmol, HIGH_MMOL),
        back_after_min=find_back(x, d, peak_min),
        coverage=float(x[-1] - x[0]) / window_min,
        flags=(*baseline.flags, *high, *_gap_flags(t, x, first, after, window_min), *flags),
        baseline_sd_mmol=baseline.sd,
        baseline_se_mmol=baseline.se,
        baseline_slope_h=baseline.slope_h,
        minutes_over_10=_minutes_over(steps, y, peak_mmol, VERY_HIGH_MMOL),
        dip_at_min=float(x[lowest]) if d[lowest] < 0 else None,
        slope_up=slope_up,
        slope_down=slope_down,
        late_until_min=late.until_min,
        second_rise_mmol=late.second_rise_mmol,
        second_rise_at_min=late.second_rise_at_min,
        late_fall_mmol=late.late_fall_mmol,
        area_3h=late.area_3h,
        area_4h=late.area_4h,
        missing=late.missing,
        net_area_2h=float(steps @ (d[:-1] + d[1:])) / 2,  # `analysis.areas.net_auc`, of what is here
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


def find_back(x: Floats, d: Floats, peak_min: float) -> float | None:
    """Return when the height `d` over the baseline is first back at zero from the peak on."""
    peak = int(x.searchsorted(peak_min))
    down = np.flatnonzero(d[peak:] <= 0)
    if down.size == 0:
        return None
    k = peak + int(down[0])
    if k == peak:
        return peak_min
    return float(x[k - 1] + (x[k] - x[k - 1]) * d[k - 1] / (d[k - 1] - d[k]))


def _from_bite(t: Floats, v: Floats, x: Floats, y: Floats, first: int) -> tuple[Floats, Floats]:
    """Return all readings from the bite on, with the value at the bite where it was joined to it."""
    if x[0] < t[first]:
        return np.append(x[0], t[first:]), np.append(y[0], v[first:])
    return t[first:], v[first:]


def _minutes_over(steps: Floats, y: Floats, peak_mmol: float, level: float) -> float:
    # most curves never get there, and the value at an end of the window may be above every reading within
    if peak_mmol <= level and max(y[0], y[-1]) <= level:
        return 0.0
    return float((steps * share_above(y - level)).sum())


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


def _check_limits(
    minutes: Floats, mmol: Floats, limits: Sequence[str], window_min: float
) -> tuple[tuple[str, ...], tuple[float, str]]:
    """Return the flags of readings at a limit, and the first one without a number."""
    if limits and len(limits) != len(minutes):
        raise ValueError(f"limits must be one for each reading, not {len(limits)} for {len(minutes)}")
    if not any(limits):
        return (), (np.inf, "")
    found = set()
    beyond = [(np.inf, "")]
    for at, value, limit in zip(minutes, mmol, limits, strict=True):
        if not limit:
            continue
        if -FAR_MIN <= at <= window_min:
            found.add(limit)
        if at >= 0 and np.isnan(value):
            what = f"a reading beyond the sensor's {limit} {at:.0f} min after the first bite"
            beyond.append((float(at), what))
    first = min(beyond)
    if first[0] <= window_min:
        raise InsufficientData(first[1], first[0], window_min, "min")
    return tuple(f"a reading at the sensor's {limit}" for limit in sorted(found)), first
