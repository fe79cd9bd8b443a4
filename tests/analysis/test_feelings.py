"""What was felt against glucose: the dealing against scipy's, like moments, and simulated months."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import permutation_test

from analysis.feelings import LOOKS, SLOTS, Grid, _correct, _deal, _find_like, judge_feelings
from analysis.results import Floats
from tests.simulated.months import feel_anyhow, feel_low, live_month


def grid_of(level: Floats, since: Floats | None = None, sensor: int = 0) -> Grid:
    days = len(level)
    return Grid(
        level, np.full(level.shape, np.inf) if since is None else since, [sensor] * days, np.arange(days)
    )


def test_the_dealing_is_a_permutation_test_of_means() -> None:
    rng = np.random.default_rng(4)
    level = rng.normal(5.5, 1.0, (10, SLOTS))
    level[:6, 40] -= 2.0
    cells = [(row, 40) for row in range(6)]
    like = [np.full(10, 40)] * 6
    seen, chance = _deal(level, [np.arange(10)], cells, like)
    found = permutation_test(
        (level[:6, 40], level[6:, 40]),
        lambda a, b, axis: np.abs(a.mean(axis=axis) - b.mean(axis=axis)),
        vectorized=True,
        n_resamples=np.inf,
        alternative="greater",
    )
    assert abs(seen) == pytest.approx(found.statistic)
    beyond = (np.abs(chance) >= abs(seen) - 1e-12).mean()
    assert beyond == pytest.approx(found.pvalue, abs=0.01)
    assert found.pvalue < 0.5


def test_the_slope_is_an_hour_s_change_and_stops_where_days_are_missing() -> None:
    level = np.tile(5 + 0.1 * np.arange(SLOTS), (3, 1))
    grid = Grid(level, np.full(level.shape, np.inf), [0] * 3, np.array([0, 1, 3]))
    assert grid.slope[0, 10] == pytest.approx(0.4)
    assert np.isnan(grid.slope[0, :2]).all()
    assert np.isfinite(grid.slope[1, 0])
    assert np.isnan(grid.slope[2, :2]).all()


def test_a_moment_beside_a_meal_is_like_one_as_long_after_another() -> None:
    since = np.full((3, SLOTS), np.inf)
    for row, bite in ((0, 48), (1, 52)):
        since[row, bite:] = 15.0 * np.arange(SLOTS - bite) + 7.5
    grid = grid_of(np.full((3, SLOTS), 5.0), since)
    assert _find_like(grid, (0, 50)).tolist() == [50, 54, -1]
    assert _find_like(grid, (0, 47)).tolist() == [47, 51, -1]  # just before the bite
    # off the meals it is the same time, or the nearest that is off them
    assert _find_like(grid, (0, 54)).tolist() == [54, 56, 54]


def test_holm_lets_the_second_stand_only_behind_the_first() -> None:
    rng = np.random.default_rng(5)
    month = live_month(rng)
    felt = {name: feel_anyhow(rng, month, 0.5) for name in ("a", "b")}
    found = judge_feelings(month.grid, felt)
    made = [replace(one, p=p, told=False) for one, p in zip(found, (0.011, 0.013, 0.2, 0.9), strict=True)]
    assert [one.told for one in _correct(made)] == [True, True, False, False]
    made = [replace(one, p=0.02, told=False) for one in found]
    assert not any(one.told for one in _correct(made))


def test_what_is_felt_at_lows_is_found_and_few_days_say_nothing() -> None:
    rng = np.random.default_rng(6)
    month = live_month(rng, 56)
    moments = feel_low(rng, month, 8.0, 0.6)
    level = next(one for one in judge_feelings(month.grid, {"low": moments}) if one.kind == "level")
    assert level.told
    assert level.high < 0
    few = judge_feelings(month.grid, {"low": moments[: LOOKS[0] - 2]})
    assert all(one.p == 1.0 and not one.told and one.next_look == LOOKS[0] for one in few)


def test_feelings_that_mean_nothing_are_hardly_ever_told_of() -> None:
    rng = np.random.default_rng(7)
    told = 0
    for _ in range(8):
        month = live_month(rng)
        felt = {str(k): feel_anyhow(rng, month, 0.5) for k in range(2)}
        told += any(one.told for one in judge_feelings(month.grid, felt))
    assert told <= 1


def test_without_readings_there_is_nothing_to_say() -> None:
    assert judge_feelings(grid_of(np.full((6, SLOTS), np.nan)), {"tired": [(0, 600.0), (3, 610.0)]}) == []
