"""How long the analyses over days take: pytest tests/bench/test_bench_days.py --benchmark-only."""

from datetime import UTC

import numpy as np
import pandas as pd
import pytest

from analysis.columns import LOCAL_MEALS, LOCAL_READINGS, SENSORS, SYNCS, add_local
from analysis.day import average_day
from analysis.eating import describe_eating
from analysis.fasting import describe_fasting
from analysis.nights import find_night_dips
from analysis.rises import find_unexplained_rises
from analysis.summaries import summarise
from analysis.wear import describe_wear

DAYS = [28, 1095]
FIRST = pd.Timestamp("2026-03-02", tz="UTC")


def make_readings(days):
    rng = np.random.default_rng(1)
    minutes = np.arange(0, 1440 * days, 5)
    mmol = 5.5 + np.sin(minutes / 50) + rng.normal(0, 0.2, minutes.size)
    at = pd.Series(FIRST + pd.to_timedelta(minutes, unit="min")).astype("datetime64[us, UTC]")
    return add_local(pd.DataFrame({"at": at, "mmol": mmol, "flag": ""}), UTC).astype(LOCAL_READINGS)


def make_meals(days):
    bites = [1440 * d + m for d in range(days) for m in (420, 600, 780, 960, 1140)]
    at = pd.Series(FIRST + pd.to_timedelta(bites, unit="min")).astype("datetime64[us, UTC]")
    frame = pd.DataFrame({"entry_id": range(len(bites)), "at": at, "slot": "lunch", "title": "", "key": ""})
    return add_local(frame.assign(carbs_g=40.0), UTC).astype(LOCAL_MEALS)


def make_worn(days):
    starts = pd.Series(FIRST + pd.to_timedelta(np.arange(0, days, 14), unit="D"))
    sensors = pd.DataFrame(
        {"entry_id": range(len(starts)), "started_at": starts, "ended_at": starts + pd.Timedelta(days=14)}
    )
    syncs = pd.DataFrame({"at": pd.Series(FIRST + pd.to_timedelta(np.arange(0, days * 24, 6), unit="h"))})
    return sensors.assign(interval_min=5.0, memory_h=8.0).astype(SENSORS), syncs.astype(SYNCS)


@pytest.mark.parametrize("days", DAYS)
def test_summary(benchmark, days):
    assert benchmark.pedantic(summarise, (make_readings(days),), rounds=3).days == days


@pytest.mark.parametrize("days", DAYS)
def test_average_day(benchmark, days):
    found = benchmark.pedantic(average_day, (make_readings(days),), {"weekends": True}, rounds=3)
    assert sum(found.days.values()) == days


@pytest.mark.parametrize("days", DAYS)
def test_fasting(benchmark, days):
    sensors, _ = make_worn(days)
    frames = make_readings(days), make_meals(days)
    assert benchmark.pedantic(describe_fasting, frames, {"sensors": sensors}, rounds=3).days == days


@pytest.mark.parametrize("days", DAYS)
def test_eating(benchmark, days):
    assert len(benchmark.pedantic(describe_eating, (make_meals(days),), rounds=3).days) == days


@pytest.mark.parametrize("days", DAYS)
def test_wear(benchmark, days):
    sensors, syncs = make_worn(days)
    until = {"until": (FIRST + pd.Timedelta(days=days)).to_pydatetime()}
    wear = benchmark.pedantic(describe_wear, (make_readings(days), sensors, syncs), until, rounds=3)
    assert len(wear) == len(sensors)


@pytest.mark.parametrize("days", DAYS)
def test_nights_and_rises(benchmark, days):
    readings, meals = make_readings(days), make_meals(days)
    benchmark.pedantic(lambda: (find_night_dips(readings), find_unexplained_rises(readings, meals)), rounds=3)
