"""Readings over days in a few numbers: level, spread, time in ranges, and the published indices.

All take mmol/L. Each reading stands for the time around it (`weigh`): half the way to its neighbours, a hole
of more than one and a half steps of its day's series counting as one step. So a week read every 5 min and a
week read every 15 weigh alike, and gaps weigh nothing. Mean, SD, shares and risk indices are weighed so;
MAGE, MODD and CONGA, which compare readings with each other, are not. A reading beyond the sensor's range
without a number ("LO", "HI") counts in the shares, below the lowest and above the highest line, and in
nothing else. Published
ranges of these indices are for people of a study, not lines for one person, and none is a diagnosis. With
two definitions about, the one used is said here [hill2011, service1970, molnar1972, mcdonnell2005,
kovatchev2006]:

    SD        n - 1;  CV = 100·SD/mean;  J = 0.324·(mean + SD)²
    MAGE      of one local day: the mean height of the swings larger than 1 SD of that day, counted in the
              direction of the first such swing. Smaller swings are merged (`analysis.swings`); the last swing
              counts as far as it got. Over days: the mean of the days that have one.
    MODD      mean |difference| of readings at the same clock time on consecutive days
    CONGA-n   SD (n - 1) of the differences to the reading n hours before. Some published ranges (4 to 6)
              are of a variant and must not be compared with it.
    LBGI/HBGI f = 1.794·((ln G)^1.026 - 1.861), r = 10·f²; the mean of r where f < 0, and where f > 0, the
              other readings counting as 0. The curve is the one for mmol/L; in mg/dL it is
              f = 1.509·((ln G)^1.084 - 5.381), which differs in the third digit.

How much data: the consensus asks for 14 days with 70 % of the possible readings [battelino2019]. Each summary
carries its `Sufficiency`; fewer readings give the same numbers with `enough` False beside them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import ceil

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import LOCAL_READINGS, check_columns
from analysis.errors import InsufficientData
from analysis.results import Floats
from analysis.swings import find_turns
from analysis.units import per_mmol

EDGES: Mapping[str, tuple[float, ...]] = {
    "mmol/L": (3.0, 3.9, 7.8, 10.0, 13.9),
    "mg/dL": (54.0, 70.0, 140.0, 180.0, 250.0),
}
"""Where the ranges part, as published in each unit (neither is the other one converted) [battelino2019]."""
DAYS, SHARE = 14, 0.70
CAVEATS: Mapping[str, str] = {
    "a1c_estimate": "An estimate from sensor readings, not a laboratory A1c: the two often differ by half a "
    "point or more, and near normal levels so do the published formulas. The mean itself says more."
}
CLOCK_MIN = 1440


@dataclass(frozen=True, slots=True)
class Sufficiency:
    """How much of the asked-for time readings cover: `have` of `need` readings out of `slots` possible."""

    have: int
    need: int
    slots: int
    share: float

    @property
    def enough(self) -> bool:
        """Whether the published amount is reached."""
        return self.have >= self.need


@dataclass(frozen=True, slots=True)
class Estimate:
    """An estimate of A1c (%), by which formula, and the key of its caveat in `CAVEATS`."""

    percent: float
    formula: str
    caveat: str = "a1c_estimate"


@dataclass(frozen=True)
class Summary:
    """Readings over days. mmol/L; `cv` in %; None where there is too little for that index.

    n: readings with a number
    ranges: share of time (0 to 1) by its bounds "low to high" in the declared unit, low <= value < high
    days: local days with readings; at_limit: readings the sensor gave as its limit
    dips: how many dips of lying on the sensor were left out of the readings
    series: the readings; what few ask for is worked out from them when it is
    """

    n: int
    days: int
    at_limit: int
    mean_mmol: float
    sd_mmol: float | None
    ranges: dict[str, float]
    sufficiency: Sufficiency
    series: "Series" = field(repr=False, compare=False)
    dips: int = 0

    @property
    def cv(self) -> float | None:
        """The coefficient of variation (%)."""
        return None if self.sd_mmol is None else 100 * self.sd_mmol / self.mean_mmol

    @property
    def a1c(self) -> tuple[Estimate, ...]:
        """Estimates of A1c, each with its caveat."""
        return estimate_a1c(self.mean_mmol)

    @cached_property
    def modd_mmol(self) -> float | None:
        """MODD: how far apart consecutive days are at the same clock time."""
        of = self.series
        return find_modd(of.days, of.minutes, of.mmol, of.interval_min)

    @cached_property
    def mage_mmol(self) -> float | None:
        """MAGE, the mean of the days that have one."""
        return _mean_mage(self.series.days, self.series.mmol)

    @property
    def j_index(self) -> float | None:
        """The J-index."""
        return None if self.sd_mmol is None else 0.324 * (self.mean_mmol + self.sd_mmol) ** 2

    def conga(self, hours: float) -> float | None:
        """Return CONGA over so many hours."""
        return find_conga(self.series.at_min, self.series.mmol, hours, self.series.interval_min)

    def risk_indices(self) -> tuple[float, float]:
        """Return (LBGI, HBGI)."""
        return find_risk_indices(self.series.mmol, weights=self.series.weights)


@dataclass(frozen=True, slots=True)
class Series:
    """The readings of a summary in order of time, each array of shape (n,).

    at_min: minutes on one running clock; days: whole numbers that count the local days; minutes: of the local
    day; interval_min: how far apart the sensor's readings are
    """

    at_min: Floats
    days: NDArray[np.int64]
    minutes: Floats
    mmol: Floats
    interval_min: float
    weights: Floats


def count_sufficiency(have: int, interval_min: float, days: int = DAYS) -> Sufficiency:
    """Return how `have` readings stand against 70 % of those possible in `days` days.

    >>> count_sufficiency(2000, 5).need, count_sufficiency(941, 15).enough
    (2823, True)
    """
    slots = round(days * CLOCK_MIN / interval_min)
    return Sufficiency(have, ceil(SHARE * slots - 1e-9), slots, min(1.0, have / slots))


def summarise(
    readings: pd.DataFrame,
    *,
    interval_min: float = 5.0,
    unit: str = "mmol/L",
) -> Summary:
    """Return the summary of a LOCAL_READINGS frame (rows in any order).

    interval_min: how far apart the sensor's readings are; unit: in which the ranges are declared
    Sufficiency looks at the last 14 days of the frame.

    Raises InsufficientData for a frame without a value.
    """
    check_columns(readings, LOCAL_READINGS)
    flags = readings["flag"].to_numpy(dtype=object)
    limit = np.where(flags == "low limit", -np.inf, np.where(flags == "high limit", np.inf, np.nan))
    every = readings["mmol"].to_numpy(dtype=np.float64)
    every = np.where(np.isnan(every), limit, every)
    frame = readings.assign(mmol=every)[~np.isnan(every)].sort_values("at")
    every = frame["mmol"].to_numpy(dtype=np.float64)
    known = np.isfinite(every)
    if not known.any():
        raise InsufficientData("no readings", 0, 1)
    mmol = every[known]
    at_us = frame["at"].to_numpy(dtype="datetime64[us]").astype(np.int64)
    days = frame["day_on"].to_numpy(dtype="datetime64[D]").astype(np.int64)
    weights = weigh((at_us - at_us[0]) / 60e6, days, interval_min)
    recent = float(weights[at_us > at_us[-1] - DAYS * CLOCK_MIN * 60_000_000].sum())
    mean = float(np.average(mmol, weights=weights[known]))
    return Summary(
        n=mmol.size,
        days=int(np.unique(days).size),
        at_limit=int((frame["flag"] != "").sum()),
        mean_mmol=mean,
        sd_mmol=find_sd(mmol, weights[known]),
        ranges=share_ranges(every, unit, weights),
        sufficiency=count_sufficiency(round(recent / interval_min), interval_min),
        series=Series(
            ((at_us - at_us[0]) / 60e6)[known],
            days[known],
            frame["minute"].to_numpy(dtype=np.float64)[known],
            mmol,
            interval_min,
            weights[known],
        ),
    )


def weigh(at_min: Floats, days: NDArray[np.int64], interval_min: float) -> Floats:
    """Return the minutes that each reading stands for, shape (n,).

    at_min: minutes on one running clock, ascending; days: whole numbers that count the local days
    interval_min: the step where a day has one reading only

    >>> weigh(np.array([0.0, 5, 10, 60, 75, 90]), np.array([1, 1, 1, 2, 2, 2]), 5).tolist()
    [5.0, 5.0, 5.0, 15.0, 15.0, 15.0]
    """
    steps = np.diff(at_min)
    same = days[1:] == days[:-1]
    starts = np.flatnonzero(np.append(True, ~same))
    usual = np.full(starts.size, interval_min)
    for k, (start, stop) in enumerate(pairwise([*starts.tolist(), at_min.size])):
        if stop - start > 1:
            # not the mean of two, which may be a step that there is not
            usual[k] = np.sort(steps[start : stop - 1])[(stop - start - 1) // 2]
    of = np.repeat(usual, np.diff(np.append(starts, at_min.size)))
    halves = np.zeros((2, at_min.size))
    halves[0, 1:], halves[1, :-1] = steps, steps
    halves[0, 0], halves[1, -1] = np.inf, np.inf
    weights: Floats = np.where(halves > 1.5 * of, of, halves).sum(axis=0) / 2
    return weights


def find_sd(mmol: Floats, weights: Floats | None = None) -> float | None:
    """Return the SD with n - 1, None for fewer than two readings; weights: as `weigh` gives them."""
    if mmol.size < 2:
        return None
    if weights is None:
        return float(mmol.std(ddof=1))
    off = mmol - np.average(mmol, weights=weights)
    return float(np.sqrt(np.average(off**2, weights=weights) * mmol.size / (mmol.size - 1)))


def share_ranges(mmol: Floats, unit: str = "mmol/L", weights: Floats | None = None) -> dict[str, float]:
    """Return the share of time in each range, low <= value < high in the declared unit; they add up to 1.

    mmol: -inf and inf stand for readings beyond the sensor's range; weights: as `weigh` gives them

    Published ranges name both ends and leave gaps between whole mg/dL; these leave none. So exactly 10.0
    mmol/L counts as above 10, where the publications count it in.

    >>> import numpy as np
    >>> share_ranges(np.array([3.89, 3.9, 7.8, 10.0]))["3.9 to 7.8"]
    0.25
    """
    edges = EDGES[unit]
    # rounded, since 70 mg/dL stored as mmol/L may come back as 69.99999999999999
    place = np.searchsorted(np.array(edges), np.round(mmol * per_mmol(unit), 9), side="right")
    counts = np.bincount(place, weights=weights, minlength=len(edges) + 1)
    counts = counts / max(1e-9, counts.sum())
    inner = [f"{low:g} to {high:g}" for low, high in pairwise(edges)]
    names = [f"below {edges[0]:g}", *inner, f"{edges[-1]:g} and above"]
    return {name: float(share) for name, share in zip(names, counts, strict=True)}


def find_mage(mmol: Floats) -> float | None:
    """Return the mean height of one day's swings larger than its SD, None when there is none.

    >>> import numpy as np
    >>> find_mage(np.array([5.0, 9, 8.5, 9, 5, 9, 5]))
    4.0
    """
    sd = find_sd(mmol)
    if not sd:
        return None
    turns = find_turns(mmol, sd)
    heights = np.abs(np.diff(mmol[turns]))[::2]
    return float(heights.mean()) if heights.size else None


def find_modd(
    days: NDArray[np.int64], minutes: Floats, mmol: Floats, interval_min: float = 5.0
) -> float | None:
    """Return the mean absolute difference at the same clock time of consecutive days, None without a pair.

    days: whole numbers that count the local days; minutes: of the local day; all shape (n,). Clock times are
    the same when they fall into the same slot of `interval_min`; readings of one slot are averaged.
    """
    width = ceil(CLOCK_MIN / interval_min)
    slots = days * width + np.minimum(width - 1, (minutes / interval_min).astype(np.int64))
    places, where, counts = np.unique(slots, return_inverse=True, return_counts=True)
    means = np.bincount(where, weights=mmol) / counts
    before = np.searchsorted(places, places - width)
    paired = places[before] == places - width
    return float(np.abs(means[paired] - means[before[paired]]).mean()) if paired.any() else None


def find_conga(at_min: Floats, mmol: Floats, hours: float, interval_min: float = 5.0) -> float | None:
    """Return the SD of the differences to the reading `hours` before (within half an interval), or None.

    at_min: minutes on one running clock, ascending, shape (n,). It takes two differences.

    >>> import numpy as np
    >>> round(find_conga(60 * np.arange(5.0), np.array([5.0, 7, 6, 8, 5]), 1), 5)
    2.44949
    """
    wanted = at_min - 60.0 * hours
    right = np.minimum(np.searchsorted(at_min, wanted), at_min.size - 1)
    left = np.maximum(right - 1, 0)
    near = np.where(wanted - at_min[left] < at_min[right] - wanted, left, right)
    paired = np.abs(at_min[near] - wanted) <= interval_min / 2
    change = mmol[paired] - mmol[near[paired]]
    return find_sd(change)


def find_risk_indices(
    mmol: Floats, unit: str = "mmol/L", weights: Floats | None = None
) -> tuple[float, float]:
    """Return (LBGI, HBGI) of values in `unit`, each by the curve published for that unit.

    >>> import numpy as np
    >>> [round(r, 3) for r in find_risk_indices(np.array([70, 100, 112.5, 140, 180, 250]), "mg/dL")]
    [1.373, 5.305]
    """
    a, power, b = (1.794, 1.026, 1.861) if per_mmol(unit) == 1.0 else (1.509, 1.084, 5.381)
    # values up to 1 (mmol/L) have no place on the curve: its ends are 1.1 and 33.3 mmol/L
    logs = np.log(np.maximum(mmol, 1.1 * per_mmol(unit)))
    f = a * (logs**power - b)
    risk = 10 * f**2
    low, high = (np.average(np.where(side, risk, 0), weights=weights) for side in (f < 0, f > 0))
    return float(low), float(high)


def estimate_a1c(mean_mmol: float) -> tuple[Estimate, Estimate]:
    """Return two published estimates of A1c from mean glucose: GMI [bergenstal2018] and ADAG [nathan2008].

    They differ by 0.6 points at 5.5 mmol/L, which shows how little either says there [selvin2024]: show
    them only with `CAVEATS["a1c_estimate"]`.

    >>> [round(e.percent, 2) for e in estimate_a1c(100 / 18.0182)]
    [5.7, 5.11]
    """
    mgdl = mean_mmol * per_mmol("mg/dL")
    return Estimate(3.31 + 0.02392 * mgdl, "GMI"), Estimate((mgdl + 46.7) / 28.7, "ADAG")


def _mean_mage(days: NDArray[np.int64], mmol: Floats) -> float | None:
    starts = np.flatnonzero(np.diff(days, prepend=days[0] - 1))
    found = [mage for day in np.split(mmol, starts[1:]) if (mage := find_mage(day)) is not None]
    return sum(found) / len(found) if found else None
