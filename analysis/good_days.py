"""What separates good days from bad: each day's values against what was on it, all of it judged at once.

Days hang together, and so does what is on them (shifts, leave, a visit): each value and each thing is taken
beside its sensor's mean and whitened by the value's own autocorrelation (`_find_rho`, corrected for its bias
in short runs [marriott1954]). Then the days' values are dealt anew, all values of a day together, and the
largest correlation of all values with all things is what chance offers [westfall1993]; only what exceeds it
in `1 - ALPHA` of the dealings is told. With this many things nothing but a strong one shows in four weeks.

On simulated months (python -m tests.bench.conclusions_overrun, 200 each, ten things): anything is told in
.025 where nothing is to be told (in .03 to .06 when asked on days 14, 21 and 28), late shifts that raise the
level by .3 or .6 mmol/L are found in .18 and .87 of 28 days, walks that take off 40 % in .07 (of 56 days:
.30).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.results import Floats
from analysis.whitened import days_apart, whiten

NEED_DAYS = 12
"""Whole days with values: fewer part nothing."""
NEED_EACH = 5
"""Days with a thing, and days without."""
MOST_RHO = 0.8
DEALT, SEED = 4000, 20265
ALPHA = 0.02


@dataclass(frozen=True, slots=True)
class Separates:
    """A thing whose days have other values, beyond chance over all that were looked at.

    value: its name; things: theirs, several where these were on the very same days
    r: correlation; p: corrected
    on, off: days with (or with more than the median of) the thing, and the others; means: of the value there
    """

    value: str
    things: tuple[str, ...]
    r: float
    p: float
    days: tuple[int, int]
    means: tuple[float, float]


@dataclass(frozen=True, slots=True)
class GoodDays:
    """What was found on `days` days, of so many things looked at; strongest first."""

    days: int
    things: tuple[str, ...]
    found: tuple[Separates, ...]


def part_good_days(
    day: NDArray[np.int_],
    sensor: Sequence[object],
    values: Mapping[str, Floats],
    things: Mapping[str, Floats],
) -> GoodDays:
    """Return which things separate days with high values from those with low ones.

    day: day numbers, strictly increasing, shape (n,); sensor: of each; values: shape (n,), NaN = not known;
    things: shape (n,), 0 and 1 or an amount, NaN = not known
    """
    kept, together = _join_alike({name: amount for name, amount in things.items() if _is_usable(amount)})
    usable = {name: value for name, value in values.items() if np.isfinite(value).sum() >= NEED_DAYS}
    if day.size < NEED_DAYS or not kept or not usable:
        return GoodDays(int(day.size), tuple(kept), ())
    seen = np.array([_correlate(day, sensor, value, kept)[0] for value in usable.values()])
    chance = _deal(day, sensor, list(usable.values()), kept)
    found = [
        _describe(value, together[thing], usable[value], kept[thing], float(seen[i, k]), chance)
        for i, value in enumerate(usable)
        for k, thing in enumerate(kept)
    ]
    told = sorted((one for one in found if one.p <= ALPHA), key=lambda one: one.p - abs(one.r))
    return GoodDays(int(day.size), tuple(kept), tuple(told))


def _join_alike(things: Mapping[str, Floats]) -> tuple[dict[str, Floats], dict[str, tuple[str, ...]]]:
    """Return things without those that were on the same days as another, and the names of each with these."""
    kept: dict[bytes, str] = {}
    names: dict[str, tuple[str, ...]] = {}
    for name, amount in things.items():
        first = kept.setdefault(amount.tobytes(), name)
        names[first] = (*names.get(first, ()), name)
    return {first: things[first] for first in names}, names


def _is_usable(amount: Floats) -> bool:
    known = amount[np.isfinite(amount)]
    on = _is_on(known)
    return known.size >= NEED_DAYS and min(int(on.sum()), int((~on).sum())) >= NEED_EACH


def _is_on(amount: Floats) -> NDArray[np.bool_]:
    """Tell which days have the thing, or more of it than is usual."""
    counts = np.unique(amount)
    found: NDArray[np.bool_] = amount > (0.5 if counts.size <= 2 else float(np.median(amount)))
    return found


def _centre(values: Floats, sensor: Sequence[object]) -> Floats:
    """Return values beside the mean of their sensor, what is not known at 0."""
    out = np.zeros(values.size)
    for name in dict.fromkeys(sensor):
        of = np.array([other == name for other in sensor]) & np.isfinite(values)
        if of.any():
            out[of] = values[of] - values[of].mean()
    return out


def _find_rho(day: NDArray[np.int_], off: Floats) -> float:
    """Return the autocorrelation from day to day, corrected for its bias: E(r) = rho - (1 + 3·rho)/n."""
    near = np.diff(day) == 1
    total = float(off @ off)
    if total <= 0 or near.sum() < NEED_DAYS // 2:
        return 0.0
    pairs = int(near.sum())
    r = float((off[1:] * off[:-1])[near].sum()) / total * off.size / pairs
    return float(np.clip((r + 1 / pairs) / (1 - 3 / pairs), 0.0, MOST_RHO))


def _correlate(
    day: NDArray[np.int_], sensor: Sequence[object], value: Floats, things: Mapping[str, Floats]
) -> tuple[Floats, Floats, Floats]:
    """Return the correlation with each thing, the whitened value and things, each of length 1."""
    off = _centre(value, sensor)
    power = days_apart(day, _find_rho(day, off))
    y = whiten(off, power)
    x = np.column_stack([whiten(_centre(amount, sensor), power) for amount in things.values()])
    y, x = y - y.mean(), x - x.mean(axis=0)
    y = y / max(float(np.sqrt(y @ y)), 1e-12)
    x = x / np.maximum(np.sqrt((x**2).sum(axis=0)), 1e-12)
    return y @ x, y, x


def _deal(
    day: NDArray[np.int_], sensor: Sequence[object], values: Sequence[Floats], things: Mapping[str, Floats]
) -> Floats:
    """Return the largest correlation of each dealing, shape (DEALT,)."""
    rng = np.random.default_rng(SEED)
    order = rng.permuted(np.tile(np.arange(day.size), (DEALT, 1)), axis=1)
    most = np.zeros(DEALT)
    for value in values:
        _, y, x = _correlate(day, sensor, value, things)
        most = np.maximum(most, np.abs(y[order] @ x).max(axis=1))
    return most


def _describe(
    value: str, things: tuple[str, ...], y: Floats, amount: Floats, r: float, chance: Floats
) -> Separates:
    p = (1 + int((chance >= abs(r) - 1e-12).sum())) / (1 + chance.size)
    known = np.isfinite(y) & np.isfinite(amount)
    on = _is_on(amount[known])
    inside = y[known]
    means = float(inside[on].mean()), float(inside[~on].mean())
    return Separates(value, things, r, p, (int(on.sum()), int((~on).sum())), means)
