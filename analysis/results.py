"""What the analyses give: frozen results with units in their names. Nothing here is rounded."""

from dataclasses import dataclass, field
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Curve:
    """One meal's first two hours, in numbers.

    baseline_mmol: mean of the readings in the quarter hour before the first bite; baseline_n: how many
    peak_mmol, rise_mmol: highest value within the window, and that minus the baseline (not below 0)
    minutes_to_peak: from the first bite to that value (min)
    area_2h: incremental area above the baseline, 0 to 120 min, geometric rule (mmol/L·min)
    two_hour_mmol: value at 120 min (interpolated between neighbours)
    dip_mmol: how far the curve falls below the baseline within the window (0 when it does not)
    minutes_over_7_8: time above 7.8 mmol/L within the window (min)
    back_after_min: minutes until it is back at the baseline after the peak, None when it is not
    coverage: share of the window that readings cover, 0 to 1
    flags: plain words for what deserves care, such as "gap of 40 min"
    variant: which definition of the area was used ("iAUC"; "iAUC, separated" where the response of a meal
    close by was taken off, see `analysis.overlap`)

    baseline_sd_mmol: SD of the readings that made the baseline, None for one; baseline_se_mmol: how far the
    baseline may be off (one standard error); baseline_slope_h: its way before the bite (mmol/L an hour,
    negative = falling), None when fewer than three readings show it
    net_area_2h: the signed area over the same two hours, what lies below the baseline subtracted (mmol/L·min)
    apart_sd_points: what taking off a meal close by adds to the error of the score (SD, points), 0 without
    unread_sd_points: what gaps within the two hours, and a level taken from before a dip, add to the error of
    the score (SD, points; `analysis.bridging`, `analysis.pressed`), 0 without
    late_min: how long before the noted first bite it really was, by the rise (min; `analysis.onset`); None
    where that is not claimed
    minutes_over_10: time above 10.0 mmol/L within the window (min)
    dip_at_min: when it is lowest below the baseline, None when it never is
    slope_up, slope_down: the steepest quarter of an hour up and down within the window (mmol/L a minute)
    late_until_min: how far readings reach with no hole and no other meal, at most 240; of this stretch:
    second_rise_mmol: the largest climb after the peak (0 when below 0.5); second_rise_at_min: its top
    area_3h, area_4h: incremental areas over 180 and 240 min; late_fall_mmol: how far the curve falls below
    the baseline after 120 min, from 3 covered hours on
    missing: for each of these that cannot be given (None), why
    """

    baseline_mmol: float
    baseline_n: int
    peak_mmol: float
    rise_mmol: float
    minutes_to_peak: float
    area_2h: float
    two_hour_mmol: float
    dip_mmol: float
    minutes_over_7_8: float
    back_after_min: float | None
    coverage: float
    flags: tuple[str, ...] = ()
    variant: str = "iAUC"
    baseline_sd_mmol: float | None = None
    baseline_se_mmol: float | None = None
    baseline_slope_h: float | None = None
    minutes_over_10: float = 0.0
    dip_at_min: float | None = None
    slope_up: float | None = None
    slope_down: float | None = None
    late_until_min: float | None = None
    second_rise_mmol: float | None = None
    second_rise_at_min: float | None = None
    late_fall_mmol: float | None = None
    area_3h: float | None = None
    area_4h: float | None = None
    missing: dict[str, str] = field(default_factory=dict)
    net_area_2h: float = 0.0
    apart_sd_points: float = 0.0
    unread_sd_points: float = 0.0
    late_min: float | None = None


@dataclass(frozen=True, slots=True)
class Evenness:
    """The score of one meal's curve: 0 to 100, 100 = a flat line.

    lost: points lost to each part, in fixed order (rise, area, high, dip); score = 100 - their sum
    low, high: a plain band of uncertainty at `level`; band_from: "own repeats" or "published"
    """

    score: float
    lost: dict[str, float]
    low: float
    high: float
    level: float = 0.9
    band_from: str = "published"


@dataclass(frozen=True, slots=True)
class Note:
    """One note of an occasion: when its first bite was, in minutes from the bite its curve begins with."""

    entry_id: int
    minute: float
    title: str


@dataclass(frozen=True, slots=True)
class Serving:
    """One occasion of eating with what its readings gave: a logged meal, or several that share a curve.

    entry_id, at: of the note whose first bite the curve begins with; title, key, carbs_g: of all its foods
    notes: all of its notes in the order of time, where there are several (`analysis.occasions`); else empty
    minutes, mmol: the readings around it, minutes from the first bite (both shape (n,), sorted)
    pressed: (minute, mmol/L) of readings that are left out since somebody seems to have lain on the sensor
    limits: minutes at which the sensor was out of its range, without a number: no line goes through them;
    limit_kinds: for each of these "low limit" or "high limit"
    curve, evenness: None when too little was recorded; `why_not` then says what is missing, in words
    activities: (start minute, minutes, what) of movement around the meal
    pricks: (minute, mmol/L) of typed readings that are not part of the curve since a sensor gave it
    own_mmol: the readings without what a meal close by added, shape (n,), where the curve is that of these
    (`analysis.overlap`); else None
    """

    entry_id: int
    at: datetime
    slot: str
    title: str
    key: str
    carbs_g: float | None
    minutes: Floats
    mmol: Floats
    curve: Curve | None = None
    evenness: Evenness | None = None
    why_not: str = ""
    limits: tuple[float, ...] = ()
    activities: tuple[tuple[float, float, str], ...] = ()
    pricks: tuple[tuple[float, float], ...] = ()
    own_mmol: Floats | None = None
    notes: tuple[Note, ...] = ()
    pressed: tuple[tuple[float, float], ...] = ()
    limit_kinds: tuple[str, ...] = ()

    @property
    def entry_ids(self) -> tuple[int, ...]:
        """The notes that share the curve."""
        return tuple(note.entry_id for note in self.notes) or (self.entry_id,)


@dataclass(frozen=True, slots=True)
class RankedMeal:
    """The servings of one meal in a span of time, and where they stand.

    score, low, high: where its mean over very many servings lies, the other meals taken into account
    behind: how probable it is that the first of the ranking is more even
    """

    key: str
    title: str
    servings: tuple[Serving, ...]
    score: float
    low: float
    high: float
    behind: float = 0.0


@dataclass(frozen=True, slots=True)
class Ranking:
    """Meals from the most even to the least.

    unscored: had too little recorded; left_out: with a score that is not the meal's own, and why
    told_apart: whether the first is more even than the last, beyond what chance does
    """

    meals: tuple[RankedMeal, ...]
    unscored: tuple[Serving, ...]
    left_out: tuple[tuple[Serving, str], ...] = ()
    told_apart: bool = False


@dataclass(frozen=True, slots=True)
class DayTrace:
    """One local day with all that was noted in it. All minutes are of the local day, 0 to 1440.

    minutes, mmol: the readings, both shape (n,), sorted
    meals: (minute, title, slot, score or None where it has none)
    activities: (start minute, minutes, what; 0 minutes where the length was not said)
    sleeps: (from minute, to minute); what began the evening before begins at 0
    syncs, sensor_changes: minutes
    gaps: (from minute, to minute, why) of time without readings
    pressed: (minute, mmol/L) of readings that are left out since somebody seems to have lain on the sensor
    limits: (minute, "low limit" or "high limit") where the sensor was out of its range, without a number
    """

    day_on: date
    minutes: Floats
    mmol: Floats
    meals: tuple[tuple[float, str, str, float | None], ...] = ()
    activities: tuple[tuple[float, float, str], ...] = ()
    sleeps: tuple[tuple[float, float], ...] = ()
    syncs: tuple[float, ...] = ()
    gaps: tuple[tuple[float, float, str], ...] = ()
    sensor_changes: tuple[float, ...] = ()
    pressed: tuple[tuple[float, float], ...] = ()
    limits: tuple[tuple[float, str], ...] = ()
