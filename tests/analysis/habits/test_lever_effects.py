"""What levers do: found where they do something, else not, and guarded by what cannot act."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import false_discovery_control

from analysis.foods.model import fit_foods
from analysis.foods.rows import Eaten, Row
from analysis.habits.effects import (
    FALSE_SHARE,
    NEED_EACH,
    LeverEffect,
    Percent,
    judge_lever_of,
    judge_levers,
    judge_levers_of,
    told_among,
)
from tests.simulated.eaters import eat_for_weeks, kitchen
from tests.simulated.habits import NOTHING, Life, live_with

RICE = (Eaten("rice", 150.0, 40.0),)


def meals(on: float, off: float, n: int = 8, lever: str = "vinegar") -> list[Row]:
    swings = (0.8, 0.9, 1.0, 1.1, 1.2, 1.0, 0.95, 1.05)
    rows = [Row(off * swings[k % 8], RICE) for k in range(n)]
    return rows + [Row(on * swings[k % 8], RICE, levers={lever: 1.0}) for k in range(n)]


def test_without_rows_or_levers_there_is_nothing() -> None:
    assert judge_levers([]) == []
    assert judge_levers([Row(80.0, RICE)]) == []


def test_half_the_response_is_found_and_none_is_not() -> None:
    (half,) = judge_levers(meals(40.0, 80.0))
    (none,) = judge_levers(meals(80.0, 80.0))
    assert half.told
    assert half.effect.low > -65
    assert half.effect.high < -25
    assert not none.told
    assert none.effect.low < 0 < none.effect.high
    assert half.plain == pytest.approx(-50.0)
    assert (half.on, half.off) == (8, 8)


def test_too_few_each_way_are_no_verdict_however_large() -> None:
    (few,) = judge_levers(meals(20.0, 90.0, n=NEED_EACH - 1))
    assert not few.differs
    assert not few.enough
    assert few.more is not None
    assert few.more >= 1


def test_all_meals_with_it_tell_nothing_and_break_nothing() -> None:
    (one,) = judge_levers([replace(row, levers={"vinegar": 1.0}) for row in meals(80.0, 80.0)])
    assert one.plain is None
    assert not one.told
    assert one.off == 0


def test_what_cannot_act_takes_the_verdict_back() -> None:
    effect = Percent(-30.0, -40.0, -20.0)
    control = LeverEffect("walk hours before", 9, 9, 1.0, effect, -30.0, True, 0)
    assert not LeverEffect("walk after", 9, 9, 1.0, effect, -30.0, True, 0, control).told
    assert LeverEffect("walk after", 9, 9, 1.0, effect, -30.0, True, 0, replace(control, differs=False)).told
    other_way = replace(control, effect=Percent(30.0, 20.0, 40.0))
    assert LeverEffect("walk after", 9, 9, 1.0, effect, -30.0, True, 0, other_way).told


def test_too_few_days_are_no_verdict_either() -> None:
    rows = [replace(row, day=k % 3 if row.levers else k) for k, row in enumerate(meals(30.0, 90.0))]
    (one,) = judge_levers(rows)
    assert one.days[0] == 3
    assert not one.enough
    assert not one.told


def test_among_many_levers_the_rule_is_that_of_benjamini_and_hochberg() -> None:
    """scipy.stats.false_discovery_control(ps, method="bh") <= q, of those beyond chance by themselves."""
    rng = np.random.default_rng(3)
    effect = Percent(-20.0, -30.0, -10.0)
    for _ in range(50):
        ps = np.concatenate([rng.uniform(0, 0.05, 3), rng.uniform(0, 1, 4)])
        found = [
            LeverEffect(f"{k}", 9, 9, 1.0, effect, None, bool(p <= 0.05), 0, p=p) for k, p in enumerate(ps)
        ]
        by_scipy = (false_discovery_control(ps, method="bh") <= FALSE_SHARE) & (ps <= 0.05)
        assert told_among(found) == {f"{k}" for k in np.flatnonzero(by_scipy)}


def test_one_that_lacks_meals_is_not_counted_among_them() -> None:
    effect = Percent(-20.0, -30.0, -10.0)
    few = [LeverEffect(f"few {k}", 2, 9, 1.0, effect, None, False, 3, p=0.9) for k in range(30)]
    assert told_among([*few, LeverEffect("walk after", 9, 9, 1.0, effect, None, True, 0, p=0.03)])


def test_the_control_goes_inside_its_lever() -> None:
    rows = meals(60.0, 80.0, lever="walk after") + meals(80.0, 80.0, lever="walk hours before")
    (walk,) = judge_levers(rows)
    assert walk.control is not None
    assert walk.control.name == "walk hours before"
    assert walk.control.on == 8


def test_a_longer_walk_counts_as_more() -> None:
    rows = meals(70.0, 80.0, lever="walk after")
    long = [replace(row, levers={"walk after": 3.0}) if row.levers else row for row in rows]
    (short,), (longer,) = judge_levers(rows), judge_levers(long)
    assert longer.amount == 3.0
    assert longer.effect.estimate == pytest.approx(short.effect.estimate, abs=6.0)


def test_large_meals_with_walks_do_not_hide_what_walks_do() -> None:
    """A short version of tests/bench/conclusions_foods.py: plain averages say that walks raise."""
    rng = np.random.default_rng(5)
    plain, adjusted, false = [], [], []
    for _ in range(6):
        rows, _ = eat_for_weeks(rng, kitchen(rng), walk=0.75)
        found = {one.name: one for one in judge_levers(rows)}
        plain.append(found["walk after"].plain)
        adjusted.append(found["walk after"].effect.estimate)
        false.append(found["vinegar"].told)
    assert np.mean(plain) > -10
    assert -35 < np.mean(adjusted) < -12
    assert sum(false) <= 1


def test_days_that_differ_and_noise_that_hangs_together_make_no_verdicts() -> None:
    """A short version of tests/bench/conclusions_habits.py: levers that do nothing, two of them of days."""
    rng = np.random.default_rng(7)
    life = Life(walk=0.78, after_large=True, days=0.15, hangs=0.3)
    found, called, held = 0, 0, []
    for _ in range(6):
        rows = live_with(rng, life)
        levers = {one.name: one for one in judge_levers(rows)}
        found += levers["walk after"].told
        for name in set(NOTHING) & set(levers):
            called += levers[name].told
            held.append(levers[name].effect.low <= 0 <= levers[name].effect.high)
    assert found >= 4
    assert called <= 2
    assert np.mean(held) > 0.8


def test_one_lever_is_judged_as_among_all() -> None:
    rows = [replace(row, levers=row.levers | {"walk hours before": 1.0 * (k % 3 == 0)}, day=k // 3)
            for k, row in enumerate(meals(50.0, 80.0, lever="walk after"))]  # fmt: skip
    fit = fit_foods(rows)
    every = judge_levers_of(fit, rows)
    assert [judge_lever_of(fit, rows, one.name) for one in every] == every
    assert every[0].control is not None
    assert judge_lever_of(fit, rows, "walk hours before") is None
    assert judge_lever_of(fit, rows, "cinnamon") is None
