"""Where groups of days part, and where days differ most, beyond what chance does.

A largest difference is always somewhere: weekdays and weekends that do not differ part by a median of 1.0
mmol/L at some hour [simulated]. So the largest of 24 hours is compared with the largest of 24 hours when
the days are dealt to the groups anew (permutation of whole days, the maximum over the hours
[westfall1993]): only what exceeds the 95 % point of that is told. For "differ most" days are drawn with
replacement: the hour is named when it comes out widest in `SURE` of the draws.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analysis.results import Floats

HOURS = 24
NEED_DAYS = 4
WIDEST_DAYS, WIDEST_HOURS = 7, 6
"""One of a few hours, or of a few days, is named for nothing."""
DEALT, DRAWN, SEED = 600, 300, 20262
ALPHA = 0.05
SURE = 0.8


@dataclass(frozen=True, slots=True)
class Parting:
    """Where two groups of days part, the first minus the second.

    hours: start hours (0 to 23) of the local day whose difference exceeds chance, with it in mmol/L
    p: how often chance alone parts them as much somewhere, 1.0 with too few days
    """

    hours: dict[int, float]
    p: float


def mean_by_hour(frame: pd.DataFrame) -> tuple[list[date], Floats]:
    """Return the days of a frame and the mean of each hour, shape (days, 24), NaN where there is none.

    frame: columns mmol (not NaN), day_on and minute, as those of LOCAL_READINGS
    """
    hour = (frame["minute"] // 60).astype("int64")
    table = frame.groupby([frame["day_on"], hour])["mmol"].mean().unstack()
    table = table.reindex(columns=range(HOURS))
    return [day.date() for day in pd.DatetimeIndex(table.index)], table.to_numpy(dtype=np.float64)


def part_days(hourly: Floats, first: NDArray[np.bool_]) -> Parting:
    """Return where two groups of days part beyond chance.

    hourly: shape (days, 24), NaN where there are no readings; first: which days are of the first group
    """
    if min(int(first.sum()), int((~first).sum())) < NEED_DAYS:
        return Parting({}, 1.0)
    known = ~np.isnan(hourly)
    enough = (known[first].sum(axis=0) >= NEED_DAYS) & (known[~first].sum(axis=0) >= NEED_DAYS)
    if not enough.any():
        return Parting({}, 1.0)
    difference, score = _score(hourly, known, first[None, :])
    rng = np.random.default_rng(SEED)
    dealt = np.array([rng.permutation(first) for _ in range(DEALT)])
    chance = np.nanmax(np.where(enough, _score(hourly, known, dealt)[1], np.nan), axis=1)
    limit = float(np.quantile(chance, 1 - ALPHA))
    seen = np.where(enough, score[0], 0.0)
    hours = {int(h): float(difference[0, h]) for h in np.flatnonzero(seen > limit)}
    return Parting(hours, float((1 + (chance >= seen.max()).sum()) / (1 + DEALT)))


def join_hours(minutes: Iterable[int]) -> list[tuple[int, int]]:
    """Return the hours that begin at these minutes as stretches of the day, in minutes.

    >>> join_hours([600, 660, 1380])
    [(600, 720), (1380, 1440)]
    """
    found: list[tuple[int, int]] = []
    for minute in sorted(minutes):
        if found and found[-1][1] == minute:
            found[-1] = (found[-1][0], minute + 60)
        else:
            found.append((minute, minute + 60))
    return found


def _score(hourly: Floats, known: NDArray[np.bool_], first: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Return difference and its size in standard errors for each dealing, shape (dealings, 24)."""
    filled = np.where(known, hourly, 0.0)
    weight, values, squares = known.astype(np.float64), filled, filled**2
    means, errors = [], []
    for side in (first, ~first):
        deal = side.astype(np.float64)
        n = np.maximum(deal @ weight, 1.0)
        mean = deal @ values / n
        variance = np.maximum(deal @ squares / n - mean**2, 1e-6)
        means.append(mean)
        errors.append(variance / np.maximum(n - 1, 1.0))
    difference = means[0] - means[1]
    return difference, np.abs(difference) / np.sqrt(errors[0] + errors[1])


def find_widest(hourly: Floats) -> int | None:
    """Return the start hour at which days differ most, None where it may as well be another one."""
    count = (~np.isnan(hourly)).sum(axis=0)
    usable = np.flatnonzero(count >= WIDEST_DAYS)
    if usable.size < WIDEST_HOURS:
        return None
    inside = hourly[:, usable]
    filled = np.where(np.isnan(inside), np.nanmedian(inside, axis=0), inside)
    low, high = np.percentile(filled, (25, 75), axis=0)
    best = int((high - low).argmax())
    rng = np.random.default_rng(SEED)
    drawn = filled[rng.integers(len(filled), size=(DRAWN, len(filled)))]
    low, high = np.percentile(drawn, (25, 75), axis=1)
    share = float(((high - low).argmax(axis=1) == best).mean())
    return int(usable[best]) if share >= SURE else None
