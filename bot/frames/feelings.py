"""What was felt and when, beside the quarters of an hour that a sensor read."""

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

import numpy as np

from analysis.feelings import SLOT_MIN, SLOTS, Grid, Moment
from analysis.results import Floats
from bot.frames.days import local_readings
from bot.frames.occasions import is_food
from bot.frames.sensors import sensors_frame
from bot.model.entries import Feeling
from bot.store import Person, Transaction

SAME = {
    "sleepy": "tired", "foggy": "tired", "faint": "dizzy", "weak": "shaky", "sweaty": "shaky",
    "clear": "clear-headed", "clearheaded": "clear-headed", "sharp": "clear-headed", "alert": "clear-headed",
    "focused": "clear-headed", "awake": "clear-headed", "great": "good", "fine": "good",
}  # fmt: skip
"""Feelings that are judged under one name (judgement)."""
LASTING = frozenset(
    {
        "bad night", "good night", "ill", "flu", "fever", "period", "vaccine", "jet lag", "allergy",
        "alcohol", "hungover", "constipated", "homesick", "lonely", "toothache", "pain", "achy",
    }
)  # fmt: skip
"""States of a day or of something else than the moment: not set against a quarter of an hour."""
BITES_BEFORE = timedelta(hours=12)


def name_of(feeling: str) -> str:
    """Return the name under which a feeling is judged, "" for one that lasts.

    >>> name_of("sleepy"), name_of("period"), name_of("shaky")
    ('tired', '', 'shaky')
    """
    return "" if feeling in LASTING else SAME.get(feeling, feeling)


def felt_between(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> tuple[Grid | None, dict[str, list[Moment]], Counter[str]]:
    """Return the grid of [since, until), the moments of each feeling in it, and how often each was noted.

    Without readings there is no grid, and no moments.
    """
    felt = [
        (one.at, name_of(one.entry.what))
        for one in tx.log.between(person.id, ("feeling",), since, until)
        if isinstance(one.entry, Feeling) and name_of(one.entry.what)
    ]
    noted = Counter(name for _, name in felt)
    readings = local_readings(tx, person, since, until)
    if readings.empty:
        return None, {}, noted
    days = sorted({day.date() for day in readings["day_on"]})
    row_of = {day: row for row, day in enumerate(days)}
    rows = readings["day_on"].dt.date.map(row_of).to_numpy()
    slots = np.minimum(readings["minute"].to_numpy() // SLOT_MIN, SLOTS - 1).astype(np.int64)
    cells = rows * SLOTS + slots
    size = len(days) * SLOTS
    counts = np.bincount(cells, minlength=size)
    sums = np.bincount(cells, weights=readings["mmol"].to_numpy(dtype=np.float64), minlength=size)
    level = np.where(counts > 0, sums / np.maximum(counts, 1), np.nan).reshape(len(days), SLOTS)
    starts = [at.to_pydatetime() for at in sensors_frame(tx, person)["started_at"]]
    noons = [datetime(day.year, day.month, day.day, 12, tzinfo=person.zone) for day in days]
    grid = Grid(
        level=level,
        since_bite=_since_bite(tx, person, since, until, days),
        sensor=[bisect_right(starts, noon) for noon in noons],
        day=np.array([day.toordinal() for day in days], dtype=np.int64),
    )
    moments: dict[str, list[Moment]] = defaultdict(list)
    for at, name in felt:
        day, minute = _place(at, person)
        if day in row_of:
            moments[name].append((row_of[day], minute))
    return grid, dict(moments), noted


def read_at(grid: Grid, moments: Mapping[str, Sequence[Moment]]) -> set[str]:
    """Return the feelings of which a moment has readings in its quarter of an hour."""
    return {
        name
        for name, of in moments.items()
        if any(np.isfinite(grid.level[row, int(minute // SLOT_MIN)]) for row, minute in of)
    }


def _since_bite(
    tx: Transaction, person: Person, since: datetime, until: datetime, days: list[date]
) -> Floats:
    bites = []
    for meal in tx.log.between(person.id, ("meal",), since - BITES_BEFORE, until):
        if is_food(meal):
            day, minute = _place(meal.at, person)
            bites.append(day.toordinal() * 24 * 60 + minute)
    stamps = np.array(sorted(bites))
    middles = np.arange(SLOTS) * SLOT_MIN + SLOT_MIN / 2
    at = np.array([day.toordinal() * 24 * 60.0 for day in days])[:, None] + middles
    place = np.searchsorted(stamps, at, side="right")
    since_bite: Floats = np.where(place > 0, at - np.append(stamps, 0.0)[np.maximum(place - 1, 0)], np.inf)
    return since_bite


def _place(at: datetime, person: Person) -> tuple[date, float]:
    local = at.astimezone(person.zone)
    return local.date(), local.hour * 60 + local.minute + local.second / 60
