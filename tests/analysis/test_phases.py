"""Two spans of a run against each other: against general libraries, and on simulated months."""

import numpy as np
import pytest

from analysis.errors import InsufficientData
from analysis.phases import SCALES, compare_phases
from analysis.whitened import Prior, days_apart, draw_cases, weigh_cases, whiten
from tests.simulated.months import live_month

Y = np.array([5.1, 5.3, 5.0, 5.4, 5.6, 5.2, 4.9, 5.0, 4.8, 5.1, 4.7, 4.9])
LATER = np.arange(12) >= 6


def test_whitened_regression_is_generalised_least_squares() -> None:
    # statsmodels 0.15: sm.GLS(Y, [LATER, 1], sigma=toeplitz(0.4 ** np.arange(12))).fit()
    params, bse, scale = (-0.3375, 5.24375), (0.16932771, 0.12932618), 0.05461309523809511
    design = np.column_stack([LATER, np.ones(12)]).astype(float)
    prior = Prior(np.array([0.0, 5.0]), np.array([1e4, 1e4]), (scale**0.5,))
    power = days_apart(np.arange(12), 0.4)
    # Prais and Winsten's first row stays as it is: its noise has the marginal variance, not the step's
    (case,) = weigh_cases(design, Y, power, prior, 0.0)
    assert case.centre == pytest.approx(params, abs=1e-6)
    assert np.sqrt(np.diag(case.cov)) == pytest.approx(bse, rel=1e-6)


def test_days_that_are_missing_count_by_their_distance() -> None:
    values = np.array([1.0, 0.5, 2.0])
    found = whiten(values, days_apart(np.array([0, 1, 4]), 0.5))
    assert found == pytest.approx([1.0, 0.0, (2.0 - 0.125 * 0.5) / np.sqrt(1 - 0.125**2)])


def test_draws_follow_the_cases() -> None:
    prior = Prior(np.array([0.0, 5.0]), np.array([1.0, 1.0]), (0.2, 0.3))
    design = np.column_stack([LATER, np.ones(12)]).astype(float)
    cases = weigh_cases(design, Y, days_apart(np.arange(12), 0.2), prior, 0.0)
    draws, weights = draw_cases(cases, 4000, 1)
    expected = sum(w * case.centre[0] for w, case in zip(weights, cases, strict=True))
    assert draws[:, 0].mean() == pytest.approx(expected, abs=0.02)


def test_a_clear_change_is_told_with_its_direction() -> None:
    rng = np.random.default_rng(1)
    day = np.arange(20)
    y = np.where(day >= 10, -0.8, -0.1) + rng.normal(0, 0.15, 20)
    found = compare_phases(day, y, [0] * 20, day >= 10, "spread")
    assert found.differs
    assert found.low < -0.7 < found.high < 0
    assert found.parted


def test_a_change_of_sensor_in_between_widens_the_interval_and_is_named() -> None:
    rng = np.random.default_rng(2)
    day = np.arange(20)
    y = np.where(day >= 10, 5.8, 5.4) + rng.normal(0, 0.1, 20)
    one = compare_phases(day, y, ["a"] * 20, day >= 10, "mean")
    two = compare_phases(day, y, ["a"] * 10 + ["b"] * 10, day >= 10, "mean")
    assert (one.parted, two.parted) == (True, False)
    assert one.differs
    assert not two.differs
    assert two.high - two.low > 2 * (one.high - one.low)


def test_too_few_days_and_days_out_of_order_are_refused() -> None:
    day = np.arange(8)
    with pytest.raises(InsufficientData):
        compare_phases(day, np.ones(8), [0] * 8, day >= 6, "mean")
    with pytest.raises(ValueError, match="increase"):
        compare_phases(day[::-1], np.ones(8), [0] * 8, day >= 4, "mean")


def test_months_without_a_change_are_hardly_ever_called_changed() -> None:
    rng = np.random.default_rng(3)
    called = 0
    for _ in range(12):
        month = live_month(rng)
        day = np.arange(28)
        values = {"spread": month.spreads, "mean": month.means}
        called += any(
            compare_phases(day, values[one], month.sensor, day >= 14, one).differs for one in SCALES
        )
    assert called <= 1
