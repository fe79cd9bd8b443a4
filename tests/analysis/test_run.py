"""The run of days, by hand."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from analysis.columns import READINGS, add_local
from analysis.run import RunDay, cover, describe_run

VIENNA = ZoneInfo("Europe/Vienna")
MONDAY = date(2026, 3, 2)
DAYS = [MONDAY + timedelta(days=k) for k in range(3)]


def describe(minutes: dict[date, list[float]], **more: object) -> tuple[RunDay, ...]:
    at = [
        datetime(day.year, day.month, day.day, tzinfo=VIENNA) + timedelta(minutes=m)
        for day, of in minutes.items()
        for m in of
    ]
    frame = pd.DataFrame({"at": pd.to_datetime(pd.Series(at), utc=True), "mmol": 5.0, "flag": ""})
    known: dict[str, object] = {"interval_min": 5.0, "meals": {}, "sensors": {}, "nights": {}, "parts": {}}
    return describe_run(add_local(frame.astype(READINGS), VIENNA), DAYS, **(known | more))  # type: ignore[arg-type]


def test_what_is_covered() -> None:
    half = list(np.arange(720.0, 1440.0, 5.0))
    first, second, third = describe({MONDAY: half, DAYS[1]: [0.0, 5.0, 60.0]})
    assert first.covered == ((720.0, 1440.0),)
    assert first.share == pytest.approx(0.5)
    assert second.covered == ((0.0, 10.0), (60.0, 65.0))
    assert second.share == pytest.approx(15 / 1440)
    assert (third.covered, third.share) == ((), 0.0)


def test_a_reading_before_midnight_covers_what_follows_it() -> None:
    assert cover(np.array([3.0]), np.array([1438.0]), 5.0) == ((0.0, 8.0),)
    assert cover(np.empty(0), np.array([1438.0]), 5.0) == ((0.0, 3.0),)
    assert cover(np.array([20.0]), np.array([1400.0]), 5.0) == ((20.0, 25.0),)
    assert cover(np.array([1438.0]), np.empty(0), 5.0) == ((1438.0, 1440.0),)


def test_nights_are_lost_below_half() -> None:
    minutes = {MONDAY: list(np.arange(0.0, 180.0, 5.0)), DAYS[1]: list(np.arange(0.0, 175.0, 5.0))}
    assert [day.night_lost for day in describe(minutes)] == [False, True, True]
    # a sleeper until noon, and days that count only in part
    nights = {MONDAY: (0.0, 720.0)}
    parts = {DAYS[2]: (300.0, 305.0)}
    found = describe(minutes, nights=nights, parts=parts)
    assert [day.night_lost for day in found] == [True, True, True]
    assert not describe(minutes, parts={DAYS[2]: (400.0, 900.0)})[2].night_lost


def test_a_day_that_counts_in_part() -> None:
    (first, *_) = describe({MONDAY: list(np.arange(720.0, 1440.0, 5.0))}, parts={MONDAY: (720.0, 1440.0)})
    assert first.share == pytest.approx(1.0)


def test_meals_and_sensors_are_in_order() -> None:
    (first, *_) = describe(
        {MONDAY: [0.0]}, meals={MONDAY: [(900.0, True), (400.0, False)]}, sensors={MONDAY: [540.0]}
    )
    assert first.meals == ((400.0, False), (900.0, True))
    assert first.sensors == (540.0,)
