"""From the three frames to servings: each occasion of eating with its readings, its curve and its score."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from math import hypot
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.baseline import Baseline, find_baseline, find_early_baseline
from analysis.bridging import find_unread
from analysis.columns import ACTIVITIES, MEALS, READINGS, SENSORS, check_columns
from analysis.curves import MAX_GAP_MIN, measure_curve
from analysis.errors import InsufficientData
from analysis.evenness import score_repeats, widen
from analysis.flags import DIP, FIRST_DAY, LATE_BITE, TOGETHER, UNFIT
from analysis.nights import NightDip
from analysis.occasions import SITTING_MIN, Occasion, find_occasions
from analysis.onset import Onset, find_onset
from analysis.overlap import CLOSE_MIN, SEPARATED, own_line, separate_curve
from analysis.pressed import BEFORE_MIN as FIND_MIN
from analysis.pressed import REACH_MIN, find_level, find_spans, find_touched, mark_pressed, start_level
from analysis.ranking import TRACE_G, group_servings, join_keys
from analysis.results import Curve, Evenness, Floats, Note, Serving
from analysis.shapes import LATE_END_MIN
from analysis.slowness import flag_slow

BEFORE_MIN = 60.0
AFTER_MIN = 180.0
MEASURED_MIN = LATE_END_MIN + MAX_GAP_MIN
FIRST_DAY_MIN = 1440.0
_US = 60_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
Instants = NDArray[np.int64]
Activities = tuple[tuple[float, float, str], ...]


@dataclass(frozen=True, slots=True)
class _Near:
    """The neighbours of an occasion within two hours (min), and which of them had something to raise glucose.

    following_min: after how many minutes the next one with something to raise glucose comes, however late
    """

    occasion: Occasion
    following_min: float | None = None
    last_min: float | None = None
    next_min: float | None = None
    last_counts: bool = False
    next_counts: bool = False

    @property
    def last_min_apart(self) -> float | None:
        """How long ago the meal was whose rise is to be taken off; none where a nibble lies between."""
        first = self.occasion.main == self.occasion.notes[0]
        return self.last_min if self.last_counts and first else None


def build_servings(
    meals: pd.DataFrame,
    readings: pd.DataFrame,
    activities: pd.DataFrame,
    *,
    sensors: pd.DataFrame | None = None,
    dips: Sequence[NightDip] = (),
) -> tuple[Serving, ...]:
    """Return one serving for each occasion, in the order of time.

    meals, readings, activities, sensors: frames as `analysis.columns` says, rows in any order
    dips: as `analysis.nights.find_night_dips` gives them
    Meals that cannot be parted are one occasion with all their foods (`analysis.occasions`). Each serving
    carries the readings with a value from 60 min before its first bite to 180 min after, and the
    movements that touch that time (0 minutes where the length was not said). Its curve is measured on these
    readings and, for the late measures, on those up to 285 min after; where that is refused `why_not` says in
    words what is missing. One less than two hours from its neighbours is flagged, and separated from them
    where that can be done (`analysis.overlap`), its score's band widened by what that costs; neighbours with
    less than 5 g of carbohydrate, such as black coffee, are flagged only. Curves of a sensor's first 24 hours
    and those that a dip touches are flagged; what the dip holds is not measured (`analysis.pressed`). The
    band of each score comes from the servings of the same meal in these frames once there are three.

    Raises ValueError for frames of other columns and for readings that are no glucose in mmol/L.
    """
    for frame, columns in ((meals, MEALS), (readings, READINGS), (activities, ACTIVITIES)):
        check_columns(frame, columns)
    meals = meals.sort_values(["at", "entry_id"])
    readings = readings.sort_values("at") if not readings["at"].is_monotonic_increasing else readings
    read_at, read = _to_us(readings), readings["mmol"].to_numpy(dtype=np.float64)
    flags = readings["flag"].tolist()
    spans = find_spans(dips)
    pressed = mark_pressed(read_at, spans)
    mmol = np.where(pressed, np.nan, read) if dips else read
    for lain_on in np.flatnonzero(pressed).tolist():
        flags[lain_on] = ""
    noted = _to_us(meals)
    carbs_g = meals["carbs_g"].to_numpy(dtype=np.float64)
    occasions = find_occasions(noted / _US, carbs_g, read_at / _US, mmol)
    occasions.sort(key=lambda one: one.main)
    bites = noted[[one.main for one in occasions]]
    first = read_at.searchsorted(bites - int(BEFORE_MIN * _US))
    after = read_at.searchsorted(bites + int(AFTER_MIN * _US), side="right")
    measured = read_at.searchsorted(bites + int(MEASURED_MIN * _US), side="right")
    moved = _find_activities(activities, bites)
    near = _find_neighbours(noted, ~(carbs_g < TRACE_G), occasions)
    touched = find_touched(bites, spans)
    notes = _flag_sensor(bites, sensors, touched)
    names = meals[["entry_id", "slot", "title", "key"]].to_numpy(dtype=object).tolist()
    carbs = carbs_g.tolist()
    servings: list[Serving] = []
    rest = None
    for k, occasion in enumerate(occasions):
        shown = slice(first[k], after[k])
        known = ~np.isnan(mmol[shown])
        around = (read_at[shown] - bites[k]) / _US
        left_out = {} if known.all() else _find_left_out(around, read[shown], flags[shown], pressed[shown])
        serving = Serving(
            **_name(occasion, names, carbs, noted),
            minutes=around[known],
            mmol=mmol[shown][known],
            activities=moved[k],
            **left_out,
        )
        wide = slice(first[k], measured[k])
        minutes, values = (read_at[wide] - bites[k]) / _US, mmol[wide]
        dipped = touched.get(k)
        try:
            base = _find_base(occasion, noted, read_at, mmol)
            onset = None
            if dipped is not None:
                lain = (dipped - bites[k]) / _US
                base = base or _find_level(read_at, mmol, int(bites[k]), lain)
                if base is not None:
                    values = start_level(minutes, values, lain, base.mmol)
            else:
                onset = _find_onset(near[k], minutes, values)
                if onset is not None and onset.unsure:
                    there = ~np.isnan(values)
                    base = find_early_baseline(minutes[there], values[there])
            curve = measure_curve(
                minutes,
                values,
                limits=flags[wide],
                next_meal_min=near[k].following_min,
                baseline=base,
            )
        except InsufficientData as missing:
            why = missing.what if dipped is None else f"{missing.what} ({UNFIT[DIP]})"
            servings.append(replace(serving, why_not=why))
            rest = rest if near[k].last_counts else None
            continue
        rest = rest if near[k].last_counts else curve.baseline_mmol
        unread = find_unread(curve, minutes, values)
        curve = _part(curve, minutes, values, near[k], rest)
        curve = replace(curve, unread_sd_points=unread) if unread else curve
        if onset is not None and onset.late:
            curve = replace(curve, late_min=onset.before_min)
            notes[k].append(f"{LATE_BITE}: the rise began about {onset.before_min:.0f} min before it")
        own = _find_own(curve, minutes, values, near[k], rest)
        own = None if own is None else own[: known.size][known]
        servings.append(
            replace(serving, curve=_add_flags(curve, (*notes[k], *_flag_slow(curve, serving))), own_mmol=own)
        )
    return _score(servings)


def _name(
    occasion: Occasion, names: list[list[Any]], carbs_g: list[float], noted: Instants
) -> dict[str, Any]:
    """Return what an occasion is called, and all of its foods: the fields of a serving but its readings."""
    main = occasion.main
    entry_id, slot, title, key = names[main]
    known = [carbs_g[k] for k in occasion.notes if carbs_g[k] == carbs_g[k]]  # NaN is not itself
    notes: tuple[Note, ...] = ()
    if len(occasion.notes) > 1:
        others = [k for k in occasion.notes if k != main]
        title = f"{title} with {' and '.join(names[k][2] for k in others)}"
        key = join_keys(names[k][3] for k in occasion.notes)
        slot = next((names[k][1] for k in (main, *others) if names[k][1] != "drink"), slot)
        notes = tuple(
            Note(names[k][0], float(noted[k] - noted[main]) / _US, names[k][2]) for k in occasion.notes
        )
    return dict(
        entry_id=entry_id,
        at=_EPOCH + timedelta(microseconds=int(noted[main])),
        slot=slot,
        title=title,
        key=key,
        carbs_g=sum(known) if known else None,
        notes=notes,
    )


def _find_left_out(
    minutes: Floats, read: Floats, flags: list[str], pressed: NDArray[np.bool_]
) -> dict[str, Any]:
    """Return what a serving shows and does not measure: readings out of range, and those that a dip holds."""
    numbered = ~np.isnan(read)
    beyond, lain = np.flatnonzero(~numbered & ~pressed), np.flatnonzero(numbered & pressed)
    return dict(
        limits=tuple(minutes[beyond].tolist()),
        limit_kinds=tuple(flags[j] for j in beyond.tolist()),
        pressed=tuple(zip(minutes[lain].tolist(), read[lain].tolist(), strict=True)),
    )


def _find_base(occasion: Occasion, noted: Instants, read_at: Instants, mmol: Floats) -> Baseline | None:
    """Return the level before an occasion where that is not the one before the bite its curve begins with."""
    if occasion.base == occasion.main:
        return None
    bite = noted[occasion.base]
    low, high = read_at.searchsorted([bite - int(BEFORE_MIN * _US), bite + int(BEFORE_MIN * _US)])
    v = mmol[low:high]
    known = ~np.isnan(v)
    return find_baseline((read_at[low:high][known] - bite) / _US, v[known])


def _find_level(read_at: Instants, mmol: Floats, bite: int, lain: Floats) -> Baseline | None:
    """Return the level before a dip that leaves no reading just before the bite; `lain` in min from it."""
    low, high = read_at.searchsorted([bite - int((REACH_MIN + FIND_MIN) * _US), bite + 1])
    v = mmol[low:high]
    known = ~np.isnan(v)
    return find_level((read_at[low:high][known] - bite) / _US, v[known], lain)


def _find_onset(near: _Near, minutes: Floats, mmol: Floats) -> Onset | None:
    """Return when the first bite was; after another meal nobody can tell."""
    if near.last_counts or near.occasion.main != near.occasion.notes[0]:
        return None
    known = ~np.isnan(mmol)
    return find_onset(minutes[known], mmol[known])


def _part(curve: Curve, minutes: Floats, mmol: Floats, near: _Near, rest: float | None) -> Curve:
    """Separate a curve from those neighbours that count, and flag the others."""
    flags = []
    if near.next_min is not None and not near.next_counts:
        flags.append(f"next meal after {near.next_min:.0f} min")
    if near.last_min is not None and not near.last_counts:
        flags.append(f"last meal {near.last_min:.0f} min before")
    if near.occasion.cut:
        flags.append(f"more was eaten later than an hour after it, {TOGETHER}")
    if near.last_counts and near.last_min_apart is None:
        flags.append(f"last meal {near.last_min:.0f} min before, {TOGETHER}")
    if near.next_counts or near.last_min_apart is not None:
        curve = separate_curve(
            curve,
            minutes,
            mmol,
            rest_mmol=rest,
            last_min=near.last_min_apart,
            next_min=near.next_min if near.next_counts else None,
        )
    return _add_flags(curve, flags)


def _find_own(curve: Curve, minutes: Floats, mmol: Floats, near: _Near, rest: float | None) -> Floats | None:
    """Return the line that a separated curve was measured on."""
    if curve.variant != SEPARATED:
        return None
    return own_line(
        minutes,
        mmol,
        rest_mmol=rest,
        last_min=near.last_min_apart,
        next_min=near.next_min if near.next_counts else None,
    )


def _flag_slow(curve: Curve, serving: Serving) -> tuple[str, ...]:
    """Return the flag of a slow response, unless it was eaten slowly, or with another meal's rise in it."""
    later = any(note.minute > SITTING_MIN for note in serving.notes)
    return () if later or any(TOGETHER in flag for flag in curve.flags) else flag_slow(curve)


def _add_flags(curve: Curve, flags: Sequence[str]) -> Curve:
    return replace(curve, flags=(*curve.flags, *flags)) if flags else curve


def _score(servings: list[Serving]) -> tuple[Serving, ...]:
    """Score the measured servings, each with those of the same meal as its repeats."""
    evenness: dict[int, Evenness] = {}
    for group in group_servings([s for s in servings if s.curve is not None]):
        scored = score_repeats([s.curve for s in group if s.curve is not None])
        evenness.update((id(serving), score) for serving, score in zip(group, scored, strict=True))
    return tuple(_add_score(s, evenness.get(id(s))) for s in servings)


def _add_score(serving: Serving, evenness: Evenness | None) -> Serving:
    """Add a score; with what it costs that a meal close by was taken off, or that something was not read."""
    if serving.curve is None or evenness is None:
        return serving
    more = hypot(serving.curve.apart_sd_points, serving.curve.unread_sd_points)
    return replace(serving, evenness=widen(evenness, more) if more else evenness)


def _find_neighbours(
    noted: Instants, counts: NDArray[np.bool_], occasions: Sequence[Occasion]
) -> list[_Near]:
    """Return for each occasion its neighbours less than two hours away.

    Where a meal that counts and one that does not are both near, the one that counts is told of.
    """
    eaten = np.flatnonzero(counts)
    near = []
    for occasion in occasions:
        k, bite = occasion.main, noted[occasion.main]
        low = int(noted.searchsorted(bite - int(CLOSE_MIN * _US), side="right"))
        high = int(noted.searchsorted(bite + int(CLOSE_MIN * _US)))
        behind = int(eaten.searchsorted(noted.searchsorted(bite, side="right")))
        later = next((j for j in eaten[behind:] if j not in occasion.notes), None)
        following = None if later is None else float(noted[later] - bite) / _US
        if high - low == 1:
            near.append(_Near(occasion, following))
            continue
        lasts = [j for j in range(k - 1, low - 1, -1) if noted[j] < bite and j not in occasion.notes]
        nexts = [j for j in range(k + 1, high) if noted[j] > bite and j not in occasion.notes]
        last = next((j for j in lasts if counts[j]), lasts[0] if lasts else None)
        coming = next((j for j in nexts if counts[j]), nexts[0] if nexts else None)
        near.append(
            _Near(
                occasion,
                following,
                None if last is None else float(bite - noted[last]) / _US,
                None if coming is None else float(noted[coming] - bite) / _US,
                last is not None and bool(counts[last]),
                coming is not None and bool(counts[coming]),
            )
        )
    return near


def _flag_sensor(
    bites: Instants, sensors: pd.DataFrame | None, touched: Mapping[int, Instants]
) -> list[list[str]]:
    """Return for each meal the flags of a sensor's first day and of dips that touch its curve."""
    flags: list[list[str]] = [[] for _ in bites]
    if sensors is not None:
        check_columns(sensors, SENSORS)
        starts = _to_us(sensors, "started_at")
        for low, high in zip(
            bites.searchsorted(starts),
            bites.searchsorted(starts + int(FIRST_DAY_MIN * _US)),
            strict=True,
        ):
            for k in range(low, high):
                flags[k].append(FIRST_DAY)
    for k in touched:
        flags[k].append(DIP)
    return flags


def _find_activities(activities: pd.DataFrame, bites: Instants) -> list[Activities]:
    """Return for each meal the movements that touch its span, as (start minute, minutes, what)."""
    found: list[list[tuple[float, float, str]]] = [[] for _ in bites]
    starts = _to_us(activities)
    lengths = np.nan_to_num(activities["minutes"].to_numpy(dtype=np.float64))
    # a movement touches a meal's span when the meal lies between these two instants
    lows = bites.searchsorted(starts - int(AFTER_MIN * _US))
    highs = bites.searchsorted(
        starts + (lengths * _US).astype(np.int64) + int(BEFORE_MIN * _US), side="right"
    )
    for start, length, what, low, high in zip(
        starts, lengths, activities["what"].tolist(), lows, highs, strict=True
    ):
        for k in range(low, high):
            found[k].append((float(start - bites[k]) / _US, float(length), what))
    return [tuple(sorted(f)) for f in found]


def _to_us(frame: pd.DataFrame, column: str = "at") -> Instants:
    return frame[column].to_numpy(dtype="datetime64[us]").astype(np.int64)
