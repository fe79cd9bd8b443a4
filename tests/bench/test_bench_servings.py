"""How long the measures take: pytest tests/bench/test_bench_servings.py --benchmark-only."""

import numpy as np
import pandas as pd
import pytest

from analysis.columns import ACTIVITIES, MEALS, READINGS
from analysis.curves import measure_curve
from analysis.ranking import rank_meals
from analysis.servings import build_servings


def make_frames(days):
    rng = np.random.default_rng(1)
    first = pd.Timestamp("2026-03-02", tz="UTC")
    minutes = np.arange(0, 1440 * days, 5)
    mmol = 5.5 + np.sin(minutes / 50) + rng.normal(0, 0.2, minutes.size)
    readings = pd.DataFrame({"at": first + pd.to_timedelta(minutes, unit="min"), "mmol": mmol, "flag": ""})
    bites = [1440 * d + m for d in range(days) for m in (420, 600, 780, 960, 1140)]
    meals = pd.DataFrame(
        {
            "entry_id": range(len(bites)),
            "at": first + pd.to_timedelta(bites, unit="min"),
            "slot": "lunch",
            "title": "rice",
            "key": [f"meal {k % 30}" for k in range(len(bites))],
            "carbs_g": rng.uniform(10, 90, len(bites)),
        }
    )
    walks = pd.DataFrame({"at": meals["at"][::3], "minutes": 15.0, "what": "walk"})
    return meals.astype(MEALS), readings.astype(READINGS), walks.astype(ACTIVITIES)


def test_one_curve(benchmark):
    minutes = np.arange(-30.0, 181, 5)
    benchmark(measure_curve, minutes, 5 + np.sin(minutes / 40) ** 2)


@pytest.mark.parametrize("days", [28, 1095])
def test_plain_areas_alone(benchmark, days):
    """The same meals, nothing but the area of the straight lines by numpy: what the measures compare with."""
    meals, readings, _ = make_frames(days)
    bites, at = (f["at"].to_numpy(dtype="datetime64[us]").astype(np.int64) / 60e6 for f in (meals, readings))
    mmol = readings["mmol"].to_numpy()

    def plain():
        first, after = at.searchsorted(bites), at.searchsorted(bites + 120, side="right")
        areas = []
        for start, stop in zip(first, after, strict=True):
            t, d = at[start:stop], mmol[start:stop] - mmol[max(0, start - 3) : start + 1].mean()
            up = np.maximum(d, 0)
            span = np.abs(d[:-1]) + np.abs(d[1:])
            share = np.where((d[:-1] < 0) != (d[1:] < 0), (up[:-1] + up[1:]) / span, 1)
            areas.append((np.diff(t) * (up[:-1] + up[1:]) / 2 * share).sum())
        return areas

    assert len(benchmark.pedantic(plain, rounds=5, warmup_rounds=1)) == 5 * days


@pytest.mark.parametrize("days", [28, 1095])
def test_servings_and_ranking(benchmark, days):
    frames = make_frames(days)
    servings = benchmark.pedantic(build_servings, frames, rounds=5, warmup_rounds=1)
    assert len(servings) == 5 * days
    assert all(s.evenness for s in servings[1:-1])
    assert len(rank_meals(servings).meals) >= 30
