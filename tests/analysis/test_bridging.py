"""What gaps add to the error of a score, on meals of other shapes than bridges."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.bridging import find_gap_spread, find_unread
from analysis.curves import measure_curve
from analysis.evenness import score_curve
from analysis.pressed import START_FLAG
from analysis.servings import build_servings
from tests.analysis.frames_of import meals, readings
from tests.analysis.test_pressed import BITE, MOVES, oats
from tests.bench.conclusions_gaps import play
from tests.simulated.meals import hump

T = np.arange(-60.0, 241, 5)
V = 5.2 + hump(T, 150, 45)


def without(start, end):
    kept = (start >= T) | (end <= T)
    return T[kept], V[kept]


def test_no_gap_adds_nothing():
    assert find_gap_spread(T, V, 5.2) == 0
    assert find_gap_spread(T[::3], V[::3], 5.2) == 0
    assert find_gap_spread(*without(130, 170), 5.2) == 0
    assert find_unread(measure_curve(T, V), T, V) == 0


def test_a_gap_over_the_peak_adds_more_than_one_behind_it():
    peak, behind = find_gap_spread(*without(20, 60), 5.2), find_gap_spread(*without(80, 120), 5.2)
    assert peak > behind > 0
    assert peak > find_gap_spread(*without(30, 55), 5.2) > 0
    assert find_gap_spread(*without(20, 60), 5.2) == peak


def test_a_gap_widens_the_range_of_a_serving():
    day = oats()
    eaten = meals((BITE, "breakfast", 50))
    (whole,) = build_servings(eaten, readings(day.minutes, day.mmol), MOVES)
    kept = (day.minutes < BITE + 20) | (day.minutes > BITE + 55)
    (gapped,) = build_servings(eaten, readings(day.minutes[kept], day.mmol[kept]), MOVES)
    plain = score_curve(gapped.curve)
    assert whole.curve.unread_sd_points == 0
    assert gapped.curve.unread_sd_points > 1
    assert gapped.evenness.low < plain.low
    assert gapped.evenness.high > plain.high
    assert gapped.evenness.score == plain.score


def test_a_level_from_before_a_dip_adds_its_own():
    curve = measure_curve(T, V)
    assert find_unread(replace(curve, flags=(START_FLAG,)), T, V) == 5


@pytest.mark.parametrize("where", [(-5.0, 10.0), (10.0, 45.0), (45.0, 90.0)])
def test_what_is_said_holds_the_error(where):
    """Nominally .90; figures of many more in the bench conclusions_gaps."""
    found = play(5.0, where, 120)
    assert found["within 1.645 of it"] > 0.84
    assert found["rms said"] < 2.5 * found["rms off"]
