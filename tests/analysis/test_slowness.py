"""Slow responses are told from even ones, on responses stretched in time with their total kept."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.curves import measure_curve
from analysis.flags import HIGH_START, SLOW
from analysis.servings import build_servings
from analysis.slowness import find_late_share, find_slow, find_usual_share, flag_slow, say_share
from tests.analysis.frames_of import meals, readings
from tests.analysis.test_pressed import MOVES
from tests.bench.conclusions_slow import play, stretched

T = np.arange(-60.0, 301, 5)


def curve(by, total=180.0, until=300):
    near = until >= T
    return measure_curve(T[near], 5.2 + stretched(T, total, 42, 2.5, by)[near])


def test_a_slowed_response_is_said_to_be_slow():
    quick, slow = curve(1.0), curve(2.5)
    assert flag_slow(quick) == ()
    assert find_late_share(slow) == pytest.approx(1 - slow.area_2h / slow.area_4h)
    assert flag_slow(slow) == ("slow: half of its response came after two hours",)
    # three hours show it as well, two cannot
    assert flag_slow(curve(2.5, until=180)) == ("slow: a third of its response came after two hours",)
    assert flag_slow(curve(2.5, until=125)) == ()


def test_little_that_comes_late_is_no_slow_response():
    assert flag_slow(curve(2.5, total=50)) == ()
    assert find_late_share(replace(curve(1.0), area_4h=0.0, area_2h=0.0)) is None


def test_a_meal_is_slow_where_half_of_its_servings_are():
    frame = readings(T + 480, 5.2 + stretched(T, 180, 42, 2.5, 2.5))
    (serving,) = build_servings(meals((480, "lunch", 60)), frame, MOVES)
    assert find_slow(serving.curve)
    quick = replace(serving, curve=curve(1.0))
    share = find_late_share(serving.curve)
    assert find_usual_share([serving, quick]) == share
    assert find_usual_share([serving, quick, quick]) is None
    assert find_usual_share([replace(serving, curve=None)]) is None
    assert [say_share(s) for s in (0.28, 0.33, 0.5, 0.8)] == [
        "a quarter", "a third", "half", "more than half",
    ]  # fmt: skip


def test_two_meals_of_one_occasion_are_not_slow():
    """The second bite half an hour later makes a late response by itself."""
    frame = readings(T + 480, 5.2 + stretched(T, 180, 42, 2.5, 2.5))
    (serving,) = build_servings(meals((480, "lunch", 60), (510, "snack", 40)), frame, MOVES)
    assert len(serving.notes) == 2
    assert not any(flag.startswith(SLOW) for flag in serving.curve.flags)


def test_figures_on_many():
    quick, slow = play(1.0, (100.0, 300.0), 120), play(2.5, (100.0, 300.0), 120)
    assert quick["said slow"] <= 0.06
    assert slow["said slow"] >= 0.8
    assert slow["scored above the quick one"] > 20


def test_a_high_start_is_said():
    assert HIGH_START in measure_curve(T, 8.5 + 0 * T).flags
    assert HIGH_START not in measure_curve(T, 7.7 + 0 * T).flags
