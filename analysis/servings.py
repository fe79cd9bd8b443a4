"""From the three frames to servings: each logged meal with its readings, its curve and its score."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import ACTIVITIES, MEALS, READINGS, SENSORS, check_columns
from analysis.curves import MAX_GAP_MIN, measure_curve
from analysis.errors import InsufficientData
from analysis.evenness import score_repeats
from analysis.flags import DIP, FIRST_DAY
from analysis.nights import NightDip
from analysis.overlap import CLOSE_MIN, SEPARATED, own_line, separate_curve
from analysis.ranking import TRACE_G, group_servings
from analysis.results import Curve, Evenness, Floats, Serving
from analysis.shapes import LATE_END_MIN

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
    """The neighbours of a meal within two hours (min), and which of them had something to raise glucose."""

    last_min: float | None = None
    next_min: float | None = None
    last_counts: bool = False
    next_counts: bool = False


def build_servings(
    meals: pd.DataFrame,
    readings: pd.DataFrame,
    activities: pd.DataFrame,
    *,
    sensors: pd.DataFrame | None = None,
    dips: Sequence[NightDip] = (),
) -> tuple[Serving, ...]:
    """Return one serving for each meal, in the order of time.

    meals, readings, activities, sensors: frames as `analysis.columns` says, rows in any order
    dips: as `analysis.nights.find_night_dips` gives them
    Each serving carries the readings with a value from 60 min before the first bite to 180 min after, and the
    movements that touch that time (0 minutes where the length was not said). Its curve is measured on these
    readings and, for the late measures, on those up to 285 min after; where that is refused `why_not` says in
    words what is missing. A meal less than two hours from its neighbours is flagged, and separated from them
    where that can be done (`analysis.overlap`); neighbours with less than 5 g of carbohydrate, such as black
    coffee, are flagged only. Curves of a sensor's first 24 hours and those that hold a night dip are flagged.
    The band of each score comes from the servings of the same meal in these frames once there are three.

    Raises ValueError for frames of other columns and for readings that are no glucose in mmol/L.
    """
    for frame, columns in ((meals, MEALS), (readings, READINGS), (activities, ACTIVITIES)):
        check_columns(frame, columns)
    meals = meals.sort_values(["at", "entry_id"])
    bites = _to_us(meals)
    readings = readings.sort_values("at") if not readings["at"].is_monotonic_increasing else readings
    read_at, mmol = _to_us(readings), readings["mmol"].to_numpy(dtype=np.float64)
    flags = readings["flag"].tolist()
    first = read_at.searchsorted(bites - int(BEFORE_MIN * _US))
    after = read_at.searchsorted(bites + int(AFTER_MIN * _US), side="right")
    measured = read_at.searchsorted(bites + int(MEASURED_MIN * _US), side="right")
    moved = _find_activities(activities, bites)
    counts = ~(meals["carbs_g"].to_numpy(dtype=np.float64) < TRACE_G)
    near = _find_neighbours(bites, counts)
    notes = _flag_sensor(bites, sensors, dips)
    following = _find_following(bites, counts)
    servings: list[Serving] = []
    rest = None
    rows = zip(
        *(meals[name].tolist() for name in ("entry_id", "slot", "title", "key", "carbs_g")), strict=True
    )
    for k, (entry_id, slot, title, key, carbs_g) in enumerate(rows):
        beyond = np.isnan(mmol[first[k] : after[k]])
        span, out = first[k] + np.flatnonzero(~beyond), first[k] + np.flatnonzero(beyond)
        serving = Serving(
            entry_id=entry_id,
            at=_EPOCH + timedelta(microseconds=int(bites[k])),
            slot=slot,
            title=title,
            key=key,
            carbs_g=None if np.isnan(carbs_g) else carbs_g,
            minutes=(read_at[span] - bites[k]) / _US,
            mmol=mmol[span],
            limits=tuple(((read_at[out] - bites[k]) / _US).tolist()),
            activities=moved[k],
        )
        wide = slice(first[k], measured[k])
        minutes = (read_at[wide] - bites[k]) / _US
        try:
            curve = measure_curve(minutes, mmol[wide], limits=flags[wide], next_meal_min=following[k])
        except InsufficientData as missing:
            servings.append(replace(serving, why_not=missing.what))
            rest = rest if near[k].last_counts else None
            continue
        rest = rest if near[k].last_counts else curve.baseline_mmol
        curve = _part(curve, minutes, mmol[wide], near[k], rest)
        own = _find_own(curve, minutes, mmol[wide], near[k], rest)
        own = None if own is None else own[: serving.minutes.size]
        servings.append(replace(serving, curve=_add_flags(curve, notes[k]), own_mmol=own))
    return _score(servings)


def _part(curve: Curve, minutes: Floats, mmol: Floats, near: _Near, rest: float | None) -> Curve:
    """Separate a curve from those neighbours that count, and flag the others."""
    flags = []
    if near.next_min is not None and not near.next_counts:
        flags.append(f"next meal after {near.next_min:.0f} min")
    if near.last_min is not None and not near.last_counts:
        flags.append(f"last meal {near.last_min:.0f} min before")
    if near.next_counts or near.last_counts:
        curve = separate_curve(
            curve,
            minutes,
            mmol,
            rest_mmol=rest,
            last_min=near.last_min if near.last_counts else None,
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
        last_min=near.last_min if near.last_counts else None,
        next_min=near.next_min if near.next_counts else None,
    )


def _add_flags(curve: Curve, flags: Sequence[str]) -> Curve:
    return replace(curve, flags=(*curve.flags, *flags)) if flags else curve


def _score(servings: list[Serving]) -> tuple[Serving, ...]:
    """Score the measured servings, each with those of the same meal as its repeats."""
    evenness: dict[int, Evenness] = {}
    for group in group_servings([s for s in servings if s.curve is not None]):
        scored = score_repeats([s.curve for s in group if s.curve is not None])
        evenness.update((id(serving), score) for serving, score in zip(group, scored, strict=True))
    return tuple(replace(s, evenness=evenness[id(s)]) if id(s) in evenness else s for s in servings)


def _find_neighbours(bites: Instants, counts: NDArray[np.bool_]) -> list[_Near]:
    """Return for each meal its neighbours less than two hours away; those of the same minute are one with it.

    Where a meal that counts and one that does not are both near, the one that counts is told of.
    """
    near = []
    for k, bite in enumerate(bites):
        low = int(bites.searchsorted(bite - int(CLOSE_MIN * _US), side="right"))
        high = int(bites.searchsorted(bite + int(CLOSE_MIN * _US)))
        if high - low == 1:
            near.append(_Near())
            continue
        lasts = [j for j in range(k - 1, low - 1, -1) if bites[j] < bite]
        nexts = [j for j in range(k + 1, high) if bites[j] > bite]
        last = next((j for j in lasts if counts[j]), lasts[0] if lasts else None)
        coming = next((j for j in nexts if counts[j]), nexts[0] if nexts else None)
        near.append(
            _Near(
                None if last is None else float(bite - bites[last]) / _US,
                None if coming is None else float(bites[coming] - bite) / _US,
                last is not None and bool(counts[last]),
                coming is not None and bool(counts[coming]),
            )
        )
    return near


def _find_following(bites: Instants, counts: NDArray[np.bool_]) -> list[float | None]:
    """Return for each meal after how many minutes the next one that counts comes."""
    eaten = bites[counts]
    place = eaten.searchsorted(bites, side="right")
    return [
        float(eaten[p] - bite) / _US if p < eaten.size else None for p, bite in zip(place, bites, strict=True)
    ]


def _flag_sensor(bites: Instants, sensors: pd.DataFrame | None, dips: Sequence[NightDip]) -> list[list[str]]:
    """Return for each meal the flags of a sensor's first day and of night dips within its two hours."""
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
    for dip in dips:
        start, end = ((at - _EPOCH) // timedelta(microseconds=1) for at in (dip.from_at, dip.to_at))
        for k in range(bites.searchsorted(start - int(CLOSE_MIN * _US)), bites.searchsorted(end)):
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
