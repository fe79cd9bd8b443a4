"""From the three frames to servings: each logged meal with its readings, its curve and its score."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.columns import ACTIVITIES, MEALS, READINGS, check_columns
from analysis.curves import measure_curve
from analysis.errors import InsufficientData
from analysis.evenness import score_repeats
from analysis.ranking import group_servings
from analysis.results import Evenness, Serving

BEFORE_MIN = 60.0
AFTER_MIN = 180.0
CLOSE_MIN = 120.0
_US = 60_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
Instants = NDArray[np.int64]
Activities = tuple[tuple[float, float, str], ...]


def build_servings(
    meals: pd.DataFrame, readings: pd.DataFrame, activities: pd.DataFrame
) -> tuple[Serving, ...]:
    """Return one serving for each meal, in the order of time.

    meals, readings, activities: frames as `analysis.columns` says, rows in any order
    Each serving carries the readings from 60 min before the first bite to 180 min after, and the movements
    that touch that time (0 minutes where the length was not said). Its curve is measured on them; where
    that is refused `why_not` says in words what is missing. A meal less than two hours from its neighbours
    is flagged ("next meal after 50 min", "last meal 50 min before"), as its curve holds more than itself.
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
    moved = _find_activities(activities, bites)
    nearness = _flag_neighbours(bites)
    servings = []
    rows = zip(
        *(meals[name].tolist() for name in ("entry_id", "slot", "title", "key", "carbs_g")), strict=True
    )
    for k, (entry_id, slot, title, key, carbs_g) in enumerate(rows):
        span = slice(first[k], after[k])
        serving = Serving(
            entry_id=entry_id,
            at=_EPOCH + timedelta(microseconds=int(bites[k])),
            slot=slot,
            title=title,
            key=key,
            carbs_g=None if np.isnan(carbs_g) else carbs_g,
            minutes=(read_at[span] - bites[k]) / _US,
            mmol=mmol[span],
            activities=moved[k],
        )
        servings.append(_measure(serving, flags[span], nearness[k]))
    return _score(servings)


def _measure(serving: Serving, limits: list[str], near: tuple[str, ...]) -> Serving:
    try:
        curve = measure_curve(serving.minutes, serving.mmol, limits=limits)
    except InsufficientData as missing:
        return replace(serving, why_not=missing.what)
    return replace(serving, curve=replace(curve, flags=(*curve.flags, *near)) if near else curve)


def _score(servings: list[Serving]) -> tuple[Serving, ...]:
    """Score the measured servings, each with those of the same meal as its repeats."""
    evenness: dict[int, Evenness] = {}
    for group in group_servings([s for s in servings if s.curve is not None]):
        scored = score_repeats([s.curve for s in group if s.curve is not None])
        evenness.update((id(serving), score) for serving, score in zip(group, scored, strict=True))
    return tuple(replace(s, evenness=evenness[id(s)]) if id(s) in evenness else s for s in servings)


def _flag_neighbours(bites: Instants) -> list[tuple[str, ...]]:
    """Return for each meal a flag where the meal after or before it is less than two hours away."""
    gaps = np.diff(bites) / _US
    flags: list[list[str]] = [[] for _ in bites]
    for k in np.flatnonzero(gaps < CLOSE_MIN):
        flags[k].append(f"next meal after {gaps[k]:.0f} min")
        flags[k + 1].append(f"last meal {gaps[k]:.0f} min before")
    return [tuple(f) for f in flags]


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


def _to_us(frame: pd.DataFrame) -> Instants:
    return frame["at"].to_numpy(dtype="datetime64[us]").astype(np.int64)
