"""Largest differences: few false ones where there is none, and true ones found."""

import numpy as np
import pytest
from scipy.stats import permutation_test

from analysis.parting import find_widest, mean_by_hour, part_days
from tests.analysis.frames_of import readings
from tests.simulated.meals import noise


def days_of(rng, n=28):
    """Days with a shape, meals at uneven times, hours that hang together, and levels of their own."""
    hour = np.arange(24)
    shape = 5.2 + 0.8 * np.exp(-((hour - 8) ** 2) / 4) + np.exp(-((hour - 19) ** 2) / 5)
    return np.array([shape + noise(rng, 24, 0.7, 0.6) + rng.normal(0, 0.3) for _ in range(n)])


def weekend(n=28):
    return np.arange(n) % 7 >= 5


def test_equal_days_are_told_apart_in_about_one_in_twenty():
    rng = np.random.default_rng(1)
    told = [bool(part_days(days_of(rng), weekend()).hours) for _ in range(200)]
    assert np.mean(told) <= 0.09  # 0.05 and two of its standard errors over 200


def test_a_late_breakfast_is_found_at_its_hour():
    rng = np.random.default_rng(2)
    hourly, ends = days_of(rng), weekend()
    hourly[ends, 10] += 2.5
    found = part_days(hourly, ends)
    assert set(found.hours) == {10}
    assert found.hours[10] == pytest.approx(2.5, abs=0.8)
    assert found.p < 0.05


def test_one_hour_alone_agrees_with_scipys_permutation_test():
    """The same statistic, exact over all dealings of 5 and 5 days [scipy.stats.permutation_test]."""
    rng = np.random.default_rng(3)
    hourly = np.full((10, 24), np.nan)
    hourly[:, 12] = rng.normal(5, 0.5, 10)
    first = np.arange(10) < 5
    hourly[first, 12] += 0.6

    def statistic(a, b, axis):
        error = np.sqrt(a.var(axis=axis) / (a.shape[axis] - 1) + b.var(axis=axis) / (b.shape[axis] - 1))
        return np.abs(a.mean(axis=axis) - b.mean(axis=axis)) / error

    exact = permutation_test(
        (hourly[first, 12], hourly[~first, 12]), statistic, vectorized=True, alternative="greater"
    )
    assert part_days(hourly, first).p == pytest.approx(exact.pvalue, abs=0.04)


def test_too_few_days_tell_nothing():
    rng = np.random.default_rng(4)
    hourly = days_of(rng, 10)
    assert part_days(hourly, np.arange(10) < 3) == part_days(hourly, np.arange(10) > 99)
    assert part_days(hourly, np.arange(10) < 3).p == 1.0
    assert part_days(np.full((10, 24), np.nan), np.arange(10) < 5).hours == {}


def test_the_widest_hour_is_named_only_when_it_is_sure():
    rng = np.random.default_rng(5)
    named = [find_widest(days_of(rng)) is not None for _ in range(60)]
    assert np.mean(named) <= 0.05
    hourly = days_of(rng)
    hourly[::2, 13] += 3.0
    assert find_widest(hourly) == 13
    assert find_widest(hourly[:3]) is None


def test_hours_of_a_frame():
    frame = readings([60.0, 65.0, 1440.0 + 119, 1440.0 + 120], [5.0, 7.0, 4.0, 8.0])
    days, hourly = mean_by_hour(frame)
    assert [day.day for day in days] == [2, 3]
    assert (hourly[0, 1], hourly[1, 1], hourly[1, 2]) == (6.0, 4.0, 8.0)
    assert np.isnan(hourly[0, 2])
