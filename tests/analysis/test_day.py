"""The average day: percentiles against scipy, each day counting once, tags, and days of odd length."""

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from scipy.stats import scoreatpercentile

from analysis.day import QUARTILE_DAYS, TENTH_DAYS, average_day, measure_days
from analysis.errors import InsufficientData
from tests.analysis.frames_of import readings

DAYS = 10
MINUTES = np.arange(0, 1440 * DAYS, 5.0)
MMOL = np.random.default_rng(5).normal(5.5, 1.0, MINUTES.size).clip(2, 12)


def test_percentiles_are_those_of_scipy():
    found = average_day(readings(MINUTES, MMOL).sample(frac=1, random_state=2))
    (name,) = found.bins
    assert (name, len(found.bins["all"]), found.days) == ("all", 96, {"all": DAYS})
    daily = MMOL.reshape(DAYS, 96, 3).mean(axis=2)
    for k, b in enumerate(found.bins["all"]):
        assert (b.minute, b.n, b.days) == (15 * k, 30, DAYS)
        expected = [scoreatpercentile(daily[:, k], p) for p in (10, 25, 50, 75, 90)]
        assert [b.p10, b.p25, b.median, b.p75, b.p90] == pytest.approx(expected)


def test_a_day_read_more_often_counts_once():
    """Day 1 is 5, read every 5 min; days 2 and 3 are 7, read once: the median is that of 5, 7, 7."""
    frame = readings([0, 5, 10, 1440, 2880], [5, 5, 5, 7, 7])
    (b,) = average_day(frame).bins["all"]
    assert (b.median, b.n, b.days) == (7.0, 5, 3)


def test_few_days_give_no_outer_lines():
    for days in range(1, TENTH_DAYS + 1):
        (b,) = average_day(readings(1440 * np.arange(days), 5.0 + np.arange(days))).bins["all"]
        assert b.median == 5 + (days - 1) / 2
        assert (b.p25 is None) == (days < QUARTILE_DAYS)
        assert (b.p90 is None) == (days < TENTH_DAYS)


def test_weekdays_weekends_and_tags():
    frame = readings(MINUTES, MMOL)
    assert average_day(frame, weekends=True).days == {"weekday": 8, "weekend": 2}
    shifts = {date(2026, 3, 2): "early", date(2026, 3, 3): "late", date(2026, 3, 4): "early"}
    found = average_day(frame, tags=shifts, bin_min=60)
    assert found.days == {"early": 2, "late": 1}
    assert [len(b) for b in found.bins.values()] == [24, 24]
    assert found.widest == {"early": None, "late": None}
    with pytest.raises(InsufficientData):
        average_day(frame, tags={date(2020, 1, 1): "x"})
    with pytest.raises(ValueError, match="part of an hour"):
        average_day(frame, bin_min=25)


def test_the_widest_hour():
    mmol = 5 + np.where(MINUTES % 1440 // 60 == 8, MINUTES // 1440 * 0.5, 0)
    assert average_day(readings(MINUTES, mmol)).widest == {"all": 480}


@pytest.mark.parametrize(("days_later", "hours"), [(27, 23), (237, 25), (3, 24)])
def test_days_of_odd_length_are_one_day(days_later, hours):
    """29 March and 25 October 2026 in Vienna have 23 and 25 hours; readings run over the local day alone."""
    zone = ZoneInfo("Europe/Vienna")
    midnight = pd.Timestamp("2026-03-02", tz=zone) + pd.DateOffset(days=days_later)
    start = (midnight - pd.Timestamp("2026-03-02", tz="UTC")) / pd.Timedelta(minutes=1)
    minutes = start + np.arange(0, 60 * hours, 15)
    found = average_day(readings(minutes, 0 * minutes + 5, zone=zone), bin_min=60)
    assert found.days == {"all": 1}
    assert sum(b.n for b in found.bins["all"]) == 4 * hours
    assert len(found.bins["all"]) == min(24, hours)
    twice = [b.minute for b in found.bins["all"] if b.n == 8]
    assert twice == ([120] if hours == 25 else [])


def test_midnight_that_does_not_exist():
    """In Sao Paulo clocks went from 0:00 to 1:00 on 4 November 2018."""
    zone = ZoneInfo("America/Sao_Paulo")
    start = (pd.Timestamp("2018-11-04 01:00", tz=zone) - pd.Timestamp("2026-03-02", tz="UTC")) / pd.Timedelta(
        minutes=1
    )
    frame = readings([start, start + 15], [5, 6], zone=zone)
    assert frame["minute"].tolist() == [60, 75]
    assert average_day(frame).days == {"all": 1}


def test_a_day_of_one_instant_has_no_level_and_warns_of_nothing():
    frame = readings([0, 5, 10], [5.0, 6.0, 7.0])
    frame["at"] = frame["at"].iloc[0]
    assert measure_days(frame) == {}
