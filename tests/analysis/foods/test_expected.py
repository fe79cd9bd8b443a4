"""What was to be expected of meals, against least squares on the earlier ones, and on simulated people."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import t as student

from analysis.foods import expected
from analysis.foods.expected import NOISE_N, NOISE_SD, expect_areas
from analysis.foods.rows import Eaten, Row
from tests.simulated.eaters import eat_for_weeks, kitchen


def people(n: int, days: int = 28, cv: float = 0.3) -> list[list[Row]]:
    """Return the rows of some simulated people; higher levels fall further, though not along a line."""
    found = []
    for seed in range(n):
        rng = np.random.default_rng(seed)
        rows, _ = eat_for_weeks(rng, kitchen(rng), days=days, cv=cv)
        levels = rng.normal(5.6, 0.6, len(rows))
        found.append(
            [
                replace(row, area=row.area - 80 * np.tanh(level - 5.6), level_mmol=float(level))
                for row, level in zip(rows, levels, strict=True)
            ]
        )
    return found


def test_each_is_the_least_squares_forecast_from_those_before_it() -> None:
    rows = [replace(row, area_sd=10.0 * (k % 3)) for k, row in enumerate(people(1, days=10)[0])]
    found = expect_areas(rows)
    mean, spread = expected._lay_out(rows)
    noise = np.hypot(NOISE_SD, [row.area_sd for row in rows])
    off = np.array([row.area for row in rows]) - mean
    misses: list[float] = []
    for i, one in enumerate(found):
        # numpy.linalg.lstsq: earlier rows over their noise, and each coefficient's prior as one row more
        stacked = np.vstack([spread[:i] / noise[:i, None], np.eye(spread.shape[1])])
        wanted = np.concatenate([off[:i] / noise[:i], np.zeros(spread.shape[1])])
        weights, *_ = np.linalg.lstsq(stacked, wanted, rcond=None)
        covariance = np.linalg.inv(stacked.T @ stacked)
        sd = np.sqrt(spread[i] @ covariance @ spread[i] + noise[i] ** 2)
        forecast = mean[i] + spread[i] @ weights
        scale = np.sqrt((NOISE_N + sum(miss**2 for miss in misses)) / (NOISE_N + i))
        reach = student.ppf(0.95, min(NOISE_N + i, 30)) * sd * scale
        assert_allclose(
            [one.area, one.low, one.high], [forecast, forecast - reach, forecast + reach], rtol=0, atol=0.1
        )
        assert one.occasions == i
        misses.append((rows[i].area - forecast) / sd)


def test_nothing_later_enters() -> None:
    rows = people(1, days=12)[0]
    assert_allclose(
        [one.area for one in expect_areas(rows)[:20]],
        [one.area for one in expect_areas(rows[:20])],
        rtol=1e-9,
    )


def test_a_meal_without_a_curve_is_expected_and_teaches_nothing() -> None:
    rows = people(1, days=8)[0]
    blank = replace(rows[10], area=float("nan"))
    with_it, without = expect_areas([*rows[:10], blank, *rows[11:]]), expect_areas([*rows[:10], *rows[11:]])
    assert with_it[10].area == pytest.approx(expect_areas(rows)[10].area, rel=1e-4)
    assert with_it[10].high == pytest.approx(expect_areas(rows)[10].high, rel=1e-3)
    assert_allclose([one.area for one in with_it[11:]], [one.area for one in without[10:]], atol=0.01)
    assert [one.occasions for one in with_it[11:]] == [one.occasions for one in without[10:]]


def test_before_anything_is_known_it_is_the_prior() -> None:
    """50 g of carbohydrate bring about 46 mmol/L·min, by `PRIORS`; a level 1 mmol/L higher 55 less."""
    toast = (Eaten("toast", 100.0, 50.0),)
    usual, high = (expect_areas([Row(0.0, toast, level_mmol=level)])[0] for level in (5.3, 6.3))
    assert usual.area == pytest.approx(1.3 * 50 / (1 + 50 / 120))
    assert high.area == pytest.approx(usual.area - 55)
    assert usual.low < 0 < usual.area < usual.high
    assert usual.occasions == 0
    assert expect_areas([]) == []


def test_an_unknown_level_is_the_mean_one_so_far() -> None:
    rows = people(1, days=3)[0]
    mean = float(np.mean([row.level_mmol for row in rows[:8] if row.level_mmol is not None]))
    told, untold = (
        expect_areas([*rows[:8], replace(rows[8], level_mmol=level)])[8] for level in (mean, None)
    )
    assert told.area == pytest.approx(untold.area)


def test_it_learns_what_a_person_eats_and_how_levels_fall() -> None:
    """On simulated people it beats the fixed formula from the second week on, and its intervals hold."""
    held, r, fixed, late = [], [], [], slice(42, None)
    for rows in people(10):
        found = expect_areas(rows)
        came = np.array([row.area for row in rows])
        carbs = np.array([sum(e.carbs_g for e in row.eaten) for row in rows])
        levels = np.array([row.level_mmol for row in rows])
        r.append(np.corrcoef([one.area for one in found[late]], came[late])[0, 1])
        fixed.append(np.corrcoef(1.5 * carbs[late] - 60 * levels[late], came[late])[0, 1])
        held += [one.low <= area <= one.high for one, area in zip(found, came, strict=True)]
    assert np.mean(r) > np.mean(fixed)
    assert 0.85 <= np.mean(held) <= 0.97


def test_a_long_record_is_read_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = people(1, days=28)[0]
    whole = expect_areas(rows)
    monkeypatch.setattr(expected, "STEP", 30)
    assert_allclose([one.area for one in expect_areas(rows)], [one.area for one in whole], rtol=1e-9)
    monkeypatch.setattr(expected, "KEPT", 40)
    parts = expect_areas(rows)
    assert max(one.occasions for one in parts) == len(rows) - 1 - (60 - 40)
    assert np.corrcoef([one.area for one in parts], [one.area for one in whole])[0, 1] > 0.95
