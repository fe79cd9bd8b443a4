"""What levers do: found where they do something, else not, and guarded by what cannot act."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.foods.rows import Eaten, Row
from analysis.habits.effects import NEED_EACH, LeverEffect, Percent, judge_levers
from tests.simulated.eaters import eat_for_weeks, kitchen

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
