"""The average day: what readings do by the clock, over many days.

Each day counts once: its readings within a bin are averaged first, so that a day read every 5 min weighs no
more than one read every 15. The percentiles over the days join ranks by straight lines (numpy's "linear").
Quartiles are given from `QUARTILE_DAYS` days in the bin on, the outer tenths from `TENTH_DAYS` (common
practice, no source); before that they are None. Days are parted by weekday and weekend, or by any tag.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise

import numpy as np
import pandas as pd

from analysis.columns import LOCAL_READINGS, check_columns
from analysis.errors import InsufficientData
from analysis.parting import find_widest, mean_by_hour, part_days
from analysis.summaries import weigh

BIN_MIN = 15
QUARTILE_DAYS = 4
TENTH_DAYS = 7
WHOLE_SHARE = 0.7
"""A day stands for itself from this share of its readings on, as in the consensus on two weeks."""


@dataclass(frozen=True, slots=True)
class DayBin:
    """A stretch of the clock from `minute` on (of the local day): mmol/L over `days` days, `n` readings."""

    minute: int
    median: float
    p25: float | None
    p75: float | None
    p10: float | None
    p90: float | None
    n: int
    days: int


@dataclass(frozen=True, slots=True)
class AverageDay:
    """The bins of each tag, in the order of the clock; bins without readings are left out.

    days: how many days each tag has; widest: the start of the hour (minute) in which days differ most, None
    where it may as well be another one; apart: of two tags, the start of each hour (minute) in which they
    part beyond chance and by how much (mmol/L), the first tag by name minus the second (`analysis.parting`)
    """

    bin_min: int
    bins: dict[str, tuple[DayBin, ...]]
    days: dict[str, int]
    widest: dict[str, int | None]
    apart: dict[int, float] = field(default_factory=dict)


def tag_weekends(days: pd.Series) -> pd.Series:
    """Return "weekday" or "weekend" (Saturday, Sunday) for each day of a column of local dates."""
    return pd.Series(np.where(days.dt.day_of_week >= 5, "weekend", "weekday"), index=days.index)


def average_day(
    readings: pd.DataFrame,
    *,
    bin_min: int = BIN_MIN,
    tags: Mapping[date, str] | None = None,
    weekends: bool = False,
) -> AverageDay:
    """Return the average day of a LOCAL_READINGS frame (rows in any order).

    bin_min: a whole part of 60; tags: the tag of each local day, days without one are left out; weekends:
    part weekdays from weekends (tags None). With neither, all days have the tag "all".

    Raises InsufficientData when no reading is left, and ValueError for bins that do not fit the hour.
    """
    check_columns(readings, LOCAL_READINGS)
    if bin_min < 1 or 60 % bin_min:
        raise ValueError(f"bins must be a whole part of an hour, not {bin_min} min")
    frame = readings.loc[readings["mmol"].notna(), ["mmol", "day_on", "minute"]]
    if tags is not None:
        tag = frame["day_on"].dt.date.map(dict(tags))
    elif weekends:
        tag = tag_weekends(frame["day_on"])
    else:
        tag = pd.Series("all", index=frame.index)
    frame = frame.assign(tag=tag, bin=(frame["minute"] // bin_min).astype("int64"))
    frame = frame[frame["tag"].notna()]
    if frame.empty:
        raise InsufficientData("no readings on these days", 0, 1)
    daily = frame.groupby(["tag", "bin", "day_on"], as_index=False)["mmol"].agg(["mean", "size"])
    found: dict[str, list[DayBin]] = {}
    means, sizes = daily["mean"].to_numpy(dtype=np.float64), daily["size"].to_numpy()
    keys = list(zip(daily["tag"].tolist(), daily["bin"].tolist(), strict=True))
    starts = [k for k, key in enumerate(keys) if k == 0 or key != keys[k - 1]]
    for start, stop in pairwise([*starts, len(keys)]):
        name, place = keys[start]
        p10, p25, p50, p75, p90 = (float(q) for q in np.percentile(means[start:stop], (10, 25, 50, 75, 90)))
        days = stop - start
        found.setdefault(name, []).append(
            DayBin(
                minute=place * bin_min,
                median=p50,
                p25=p25 if days >= QUARTILE_DAYS else None,
                p75=p75 if days >= QUARTILE_DAYS else None,
                p10=p10 if days >= TENTH_DAYS else None,
                p90=p90 if days >= TENTH_DAYS else None,
                n=int(sizes[start:stop].sum()),
                days=days,
            )
        )
    bins = {name: tuple(of_tag) for name, of_tag in found.items()}
    return AverageDay(
        bin_min=bin_min,
        bins=bins,
        days={str(name): int(n) for name, n in frame.groupby("tag")["day_on"].nunique().items()},
        widest={name: _find_widest(frame[frame["tag"] == name]) for name in bins},
        apart=_find_apart(frame, sorted(bins)),
    )


@dataclass(frozen=True, slots=True)
class DayLevel:
    """The mean of one day and the SD of its readings around it (mmol/L), weighed by time."""

    mean: float
    sd: float


def measure_days(readings: pd.DataFrame, interval_min: float = 5.0) -> dict[date, DayLevel]:
    """Return the level of each day of a LOCAL_READINGS frame that is covered for the most part.

    interval_min: how far apart the readings are where a day has one only. Each reading weighs by the time it
    stands for (`analysis.summaries.weigh`). A day of which less than `WHOLE_SHARE` is covered is left out:
    its level would be that of the hours it has.
    """
    check_columns(readings, LOCAL_READINGS)
    frame = readings[readings["mmol"].notna()].sort_values("at")
    if frame.empty:
        return {}
    at_min = frame["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6
    of_day = frame["day_on"].to_numpy(dtype="datetime64[D]").astype(np.int64)
    mmol = frame["mmol"].to_numpy(dtype=np.float64)
    weights = weigh(at_min, of_day, interval_min)
    days, place = np.unique(of_day, return_inverse=True)
    covered = np.bincount(place, weights=weights)
    some = np.where(covered > 0, covered, 1.0)  # readings of one instant alone stand for no time
    means = np.bincount(place, weights=weights * mmol) / some
    variances = np.bincount(place, weights=weights * (mmol - means[place]) ** 2) / some
    return {
        day: DayLevel(float(mean), float(variance**0.5))
        for day, mean, variance, minutes in zip(
            days.astype("datetime64[D]").tolist(), means, variances, covered, strict=True
        )
        if minutes >= WHOLE_SHARE * 1440
    }


def find_day_means(readings: pd.DataFrame, interval_min: float = 5.0) -> dict[date, float]:
    """Return the mean (mmol/L) of each day that `measure_days` gives."""
    return {day: level.mean for day, level in measure_days(readings, interval_min).items()}


def _find_widest(frame: pd.DataFrame) -> int | None:
    hour = find_widest(mean_by_hour(frame)[1])
    return None if hour is None else 60 * hour


def _find_apart(frame: pd.DataFrame, tags: list[str]) -> dict[int, float]:
    if len(tags) != 2:
        return {}
    days, hourly = mean_by_hour(frame)
    of_first = {day.date() for day in frame.loc[frame["tag"] == tags[0], "day_on"].unique()}
    found = part_days(hourly, np.array([day in of_first for day in days]))
    return {60 * hour: difference for hour, difference in found.hours.items()}
