"""The difference of two groups with Welch's interval."""

import numpy as np
import pytest
from scipy.stats import t, ttest_ind

from analysis.contrast import contrast
from analysis.errors import InsufficientData


def test_two_servings_each_by_hand():
    """Means 45 and 75; variances 50 and 50, of the means 25 each, df 2, t 2.920: 30 ± 2.92·√50."""
    found = contrast([40.0, 50.0], [70.0, 80.0])
    assert found.n == (2, 2)
    assert found.mean == (45.0, 75.0)
    assert (found.low, found.high) == pytest.approx((30 - 20.647, 30 + 20.647), abs=0.01)
    assert found.clear
    assert not found.enough


def test_the_interval_is_that_of_scipy_where_the_degrees_are_whole():
    rng = np.random.default_rng(3)
    for _ in range(20):
        a, b = rng.normal(60, 8, rng.integers(2, 9)), rng.normal(70, 15, rng.integers(2, 9))
        found = contrast(a.tolist(), b.tolist())
        other = ttest_ind(b, a, equal_var=False)
        low, high = other.confidence_interval(0.9)
        assert found.difference == pytest.approx((low + high) / 2)
        # theirs has fractional degrees of freedom; ours rounds them down, and so is the wider one
        ratio = t.ppf(0.95, int(other.df)) / t.ppf(0.95, other.df)
        assert (found.high - found.low) / (high - low) == pytest.approx(ratio, rel=1e-3)
        assert found.high - found.low >= high - low - 1e-3


def test_servings_that_are_alike_by_luck_do_not_make_it_sure():
    assert contrast([60.0, 60.0], [62.0, 62.0]).clear
    assert not contrast([60.0, 60.0], [62.0, 62.0], least_sd=5.0).clear


def test_one_against_two_is_refused():
    with pytest.raises(InsufficientData) as refused:
        contrast([60.0], [70.0, 80.0])
    assert (refused.value.have, refused.value.need) == (1, 2)


def test_six_each_are_enough():
    assert contrast([60.0, 61] * 3, [60.0, 61] * 3).enough
    assert not contrast([60.0, 61] * 3, [60.0, 61, 62, 63, 64]).enough
