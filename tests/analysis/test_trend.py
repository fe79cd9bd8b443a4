"""Trends of daily values: against statsmodels' generalised least squares, and on simulated mornings."""

import numpy as np
import pytest

from analysis.trend import find_slope
from tests.simulated.meals import noise
from tests.simulated.mornings import mornings


def gls(day, y, rho):
    """Return slope a week and its standard error by generalised least squares with a known AR(1) matrix.

    Textbook formula: (X'V^-1 X)^-1 X'V^-1 y with V_ij = rho^|t_i - t_j|, sigma² from the residuals.
    """
    x = np.column_stack([np.ones(y.size), day / 7])
    inverse = np.linalg.inv(rho ** np.abs(day[:, None] - day[None, :]))
    cov = np.linalg.inv(x.T @ inverse @ x)
    b = cov @ x.T @ inverse @ y
    off = y - x @ b
    return b[1], np.sqrt(cov[1, 1] * (off @ inverse @ off) / (y.size - 2))


@pytest.mark.parametrize("rho", [0.0, 0.4])
def test_with_much_data_it_is_generalised_least_squares(rho):
    rng = np.random.default_rng(4)
    day = np.arange(100)
    y = 5.2 + 0.1 * day / 7 + noise(rng, 100, 0.3, rho)
    found, (slope, error) = find_slope(day, y, [0] * 100, 200), gls(day, y, rho)
    assert found.estimate == pytest.approx(slope, abs=0.4 * error)
    # the 3.5 % and 96.5 % points lie 1.81 standard errors out, a little more since rho is not known
    assert 1.6 * error < (found.high - found.low) / 2 < 2.6 * error


def test_gaps_between_days_count_as_days():
    day = np.array([0, 1, 2, 3, 10, 11, 12, 13, 20, 21, 22, 23])
    y = 5.0 + 0.3 * day / 7 + 0.02 * (day % 2)
    assert find_slope(day, y, [0] * day.size, 30).estimate == pytest.approx(0.3, abs=0.05)


def test_weekly_looks_call_few_false_trends_and_find_true_ones():
    """A short version of tests/bench/conclusions_fasting.py, which has the figures."""
    rng = np.random.default_rng(11)
    false = found = 0
    for _ in range(12):
        day, y, sensor = mornings(rng)
        looks = [find_slope(day[:n], y[:n], sensor[:n]) for n in (7, 14, 21, day.size)]
        false += any(look.moves for look in looks)
        found += find_slope(*mornings(rng, slope=0.5)).moves
    assert false <= 3
    assert found >= 8


def test_an_unnoted_change_is_found_by_its_step():
    rng = np.random.default_rng(5)
    day = np.arange(20)
    y = 5.0 + 0.8 * (day >= 11) + rng.normal(0, 0.15, 20)
    found = find_slope(day, y, [0] * 20)
    assert found.step_at == 11
    assert not found.moves


def test_what_is_refused():
    with pytest.raises(ValueError, match="increase"):
        find_slope(np.array([1, 1]), np.array([5.0, 5.0]), [0, 0])
    few = find_slope(np.array([1, 2, 3]), np.array([5.0, 5.1, 5.2]), [0, 0, 0])
    assert few.low < 0 < few.high
