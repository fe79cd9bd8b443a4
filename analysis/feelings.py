"""What was felt against glucose at that time: its level and its slope, beside like moments of other days.

The level at a moment is the mean of the quarter of an hour it lies in; the slope is what it changed over the
half hour before (mmol/L an hour). People write when they eat, and then glucose is low by itself. So the like
moment of another day is as long after the bite nearest in time where the moment was within `NEAR_MIN` after
or just before a bite, and else the same clock time, moved off the hours after bites. The moments of a day
are dealt, as a whole, to other days nearby (within a sensor and `BLOCK_DAYS` days, so that sensors and slow
changes do not count): if the feeling has nothing to do with glucose, its own days are like any others. What
is felt every day at one hour can thus not be judged, rightly so. Dealt are ranks, since glucose is skewed.

p counts dealings that part as much either way. It is taken only when `LOOKS` days have the feeling, which
asking in between does not change, and Holm's method [holm1979] goes over all
that could be said: each feeling's level and slope.

On simulated months (python -m tests.bench.conclusions_overrun, 100 each, 28 days, three feelings that mean
nothing): any of them is told of in .03 to .05. A feeling whose odds grow e-fold with each .33 or .2 mmol/L
lower, noted on 17 of 28 days, is found in .14 and .37; with no other feeling noted the latter in .59; the
former on 28 of 56 days in .32. Its direction was right each time. A slope is hardly ever found.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from analysis.results import Floats

SLOT_MIN, SLOTS = 15, 96
BEFORE_SLOTS = 2
"""The slope is over so many slots before the moment."""
NEAR_MIN = 60.0
"""So long after a bite glucose is the meal's (common practice, no source)."""
MOST_APART = 12
"""Slots that the bite of another day, or a moment off the meals, may lie from the felt one's."""
LOOKS, LOOKS_COST = (6, 12, 18, 28), 3.2
"""COST: the smallest of these looks' p-values falls below .005/3.2 in .005 of simulated Brownian paths."""
BLOCK_DAYS, LEAST_BLOCK = 10, 4
DEALT, SEED = 6000, 20264
ALPHA = 0.05
TAIL_90 = 1.645

Kind = Literal["level", "slope"]
Moment = tuple[int, float]
"""The place of a day (row of the grid) and the minute of it."""


@dataclass(frozen=True, slots=True)
class FeltWith:
    """What went with a feeling: `kind` of glucose, more than at like moments without it.

    times, days: moments with readings, and days that have them
    estimate, low, high: mmol/L (level) or mmol/L an hour (slope), the interval at 0.9
    p: looks counted in, 1.0 before the first; told: beyond chance over all feelings
    next_look: days with the feeling at which it is judged again
    """

    feeling: str
    kind: Kind
    times: int
    days: int
    estimate: float
    low: float
    high: float
    p: float
    told: bool
    next_look: int | None


@dataclass(frozen=True, slots=True)
class Grid:
    """Mean glucose of each quarter of an hour, shape (days, 96), NaN where there is none; days in order.

    since_bite: minutes since the last bite, the same shape, inf before the first; sensor: of each day
    day: day numbers, increasing
    """

    level: Floats
    since_bite: Floats
    sensor: Sequence[object]
    day: NDArray[np.int_]

    @property
    def slope(self) -> Floats:
        """The change over the half hour before (mmol/L an hour), NaN where it is not known."""
        flat = self.level.ravel()
        before = np.concatenate([np.full(BEFORE_SLOTS, np.nan), flat[:-BEFORE_SLOTS]])
        steps = (flat - before) / (BEFORE_SLOTS * SLOT_MIN / 60)
        found: Floats = steps.reshape(self.level.shape)
        # the row above is not always the day before
        broken = np.append(True, np.diff(self.day) != 1)
        found[broken, :BEFORE_SLOTS] = np.nan
        return found


def judge_feelings(grid: Grid, felt: Mapping[str, Sequence[Moment]]) -> list[FeltWith]:
    """Return what went with each feeling that has a moment with readings, its level and its slope.

    felt: the moments of each feeling
    """
    found: list[FeltWith] = []
    for kind, values in (("level", grid.level), ("slope", grid.slope)):
        ranks = _rank(values)
        for feeling, moments in felt.items():
            one = _judge((values, ranks), grid, feeling, kind, moments)  # type: ignore[arg-type]
            found += [one] if one is not None else []
    return _correct(sorted(found, key=lambda one: (-one.days, one.feeling, one.kind)))


def _part(grid: Grid) -> list[NDArray[np.int_]]:
    """Return the rows of each block: days near each other that one sensor read."""
    blocks: list[NDArray[np.int_]] = []
    for name in dict.fromkeys(grid.sensor):
        rows = np.array([k for k, other in enumerate(grid.sensor) if other == name])
        parts = max(1, round(rows.size / BLOCK_DAYS))
        blocks += [part for part in np.array_split(rows, parts) if part.size >= LEAST_BLOCK]
    return blocks


def _rank(values: Floats) -> Floats:
    """Return the place of each value among all, 0 to 1."""
    ranks = np.full(values.shape, np.nan)
    known = np.isfinite(values)
    ranks[known] = (values[known].argsort().argsort() + 0.5) / max(1, known.sum())
    return ranks


def _judge(
    both: tuple[Floats, Floats], grid: Grid, feeling: str, kind: Kind, moments: Sequence[Moment]
) -> FeltWith | None:
    values, ranks = both
    blocks = _part(grid)
    held = {int(row) for block in blocks for row in block}
    cells = sorted({(row, int(minute // SLOT_MIN)) for row, minute in moments if row in held})
    cells = [(row, slot) for row, slot in cells if np.isfinite(values[row, slot])]
    if not cells:
        return None
    like = [_find_like(grid, cell) for cell in cells]
    days = list(dict.fromkeys(row for row, _ in cells))
    p, next_look = 1.0, next((n for n in LOOKS if n > len(days)), None)
    for look in (n for n in LOOKS if n <= len(days)):
        early = [k for k, (row, _) in enumerate(cells) if row in days[:look]]
        seen, chance = _deal(ranks, blocks, [cells[k] for k in early], [like[k] for k in early])
        beyond = (1 + int((np.abs(chance) >= abs(seen) - 1e-12).sum())) / (1 + chance.size)
        p = min(p, LOOKS_COST * beyond)
    seen, chance = _deal(values, blocks, cells, like)
    half = TAIL_90 * float(chance.std())
    n = len(cells), len(days)
    return FeltWith(feeling, kind, *n, seen, seen - half, seen + half, p, False, next_look)


def _find_like(grid: Grid, cell: tuple[int, int]) -> NDArray[np.int_]:
    """Return the slot of each day that is like a moment, -1 where a day has none; shape (days,)."""
    row, slot = cell
    just_before = np.zeros(grid.since_bite.shape, dtype=bool)
    just_before[:, :-1] = grid.since_bite[:, 1:] < SLOT_MIN
    near = (grid.since_bite < NEAR_MIN) | just_before
    found = np.full(len(grid.sensor), -1)
    after = -1 if just_before[row, slot] else int(min(grid.since_bite[row, slot], NEAR_MIN) // SLOT_MIN)
    for other in range(found.size):
        if near[row, slot]:
            places = np.flatnonzero(grid.since_bite[other] < SLOT_MIN) + after
            places = places[(places >= 0) & (places < SLOTS)]
        else:
            places = np.flatnonzero(~near[other])
        if places.size:
            best = int(places[np.abs(places - slot).argmin()])
            found[other] = best if abs(best - slot) <= MOST_APART else -1
    found[row] = slot
    return found


def _deal(
    values: Floats,
    blocks: Sequence[NDArray[np.int_]],
    cells: Sequence[tuple[int, int]],
    like: Sequence[NDArray[np.int_]],
) -> tuple[float, Floats]:
    """Return how far the moments lie from like moments without the feeling, and how far dealt ones do."""
    rng = np.random.default_rng(SEED)
    seen, dealt, weight = 0.0, np.zeros(DEALT), 0.0
    for block in blocks:
        inside = [k for k, (row, _) in enumerate(cells) if row in block]
        if not inside:
            continue
        rows = np.array([int(np.flatnonzero(block == cells[k][0])[0]) for k in inside])
        slots = np.array([like[k][block] for k in inside]).T
        filled = _fill(np.where(slots < 0, np.nan, values[block[:, None], slots]), rng)
        off = filled - filled.mean(axis=0)
        order = rng.permuted(np.tile(np.arange(block.size), (DEALT, 1)), axis=1)
        columns = np.arange(rows.size)
        seen += float(off[rows, columns].sum())
        dealt += off[order[:, rows], columns].sum(axis=1)
        # what is felt on n of N days moves the mean of the N, too
        weight += rows.size * (1 - np.unique(rows).size / block.size)
    return (seen / weight, dealt / weight) if weight > 0 else (0.0, dealt)


def _fill(values: Floats, rng: np.random.Generator) -> Floats:
    """Return values with what is missing drawn from the other days of the block at that time."""
    filled = values.copy()
    for k in range(values.shape[1]):
        known = np.isfinite(values[:, k])
        filled[~known, k] = rng.choice(values[known, k], int((~known).sum()))
    return filled


def _correct(found: list[FeltWith]) -> list[FeltWith]:
    """Mark what is beyond chance over all that were judged (Holm)."""
    judged = sorted((k for k, one in enumerate(found) if one.p < 1), key=lambda k: found[k].p)
    count = sum(one.days >= LOOKS[0] for one in found)
    for rank, k in enumerate(judged):
        if found[k].p > ALPHA / max(1, count - rank):
            break
        found[k] = replace(found[k], told=True)
    return found
