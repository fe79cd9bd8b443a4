"""Steepness, second rise and the late measures: by hand, against scipy, and when they are refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from analysis.curves import measure_curve
from analysis.shapes import cut, find_second_rise, find_steepest

FIVE = np.arange(-30.0, 301, 5)


def shape(t):
    """5; up 2 at 30 min; down to 5.5 at 90; up to 6.5 at 150; down to 4.2 at 200; 5 from 240 on."""
    return np.interp(t, [0, 30, 90, 150, 200, 240], [5, 7, 5.5, 6.5, 4.2, 5])


def test_all_by_hand():
    curve = measure_curve(FIVE, shape(FIVE))
    assert curve.slope_up == pytest.approx(2 / 30)
    assert curve.slope_down == pytest.approx(1.5 / 60)
    assert curve.second_rise_mmol == pytest.approx(1.0)
    assert curve.second_rise_at_min == 150
    assert curve.late_fall_mmol == pytest.approx(0.8)
    assert curve.late_until_min == 240
    assert curve.missing == {}
    assert (curve.dip_mmol, curve.dip_at_min, curve.minutes_over_10) == (0, None, 0)
    for area, end in ((curve.area_2h, 120), (curve.area_3h, 180), (curve.area_4h, 240)):
        grid = np.arange(0, end + 0.005, 0.01)
        assert area == pytest.approx(trapezoid(np.clip(shape(grid) - 5, 0, None), grid), abs=0.01)


def test_dip_and_when_and_over_10():
    """9 at 0 is the level; 12 at 30 and 8 at 90: above 10 from 10 to 60 min; lowest, 1 below, at 90."""
    minutes = np.array([-10.0, 0, 30, 60, 90, 120])
    curve = measure_curve(minutes, np.array([9.0, 9, 12, 10, 8, 9]))
    assert curve.minutes_over_10 == pytest.approx(20 + 30)
    assert (curve.dip_mmol, curve.dip_at_min) == (1.0, 90.0)


@pytest.mark.parametrize(
    ("keep", "next_meal", "until", "given", "why"),
    [
        (FIVE <= 170, None, 170, "area_3h", "readings stop 170 min after the first bite"),
        (FIVE <= 165, None, 165, None, "readings stop 165 min after the first bite"),
        (
            (FIVE <= 130) | (FIVE >= 180),
            None,
            130,
            None,
            "no readings from 130 to 180 min after the first bite",
        ),
        (FIVE <= 300, 150.0, 150, None, "next meal after 150 min"),
        (FIVE <= 300, 200.0, 200, "area_3h", "next meal after 200 min"),
        (FIVE <= 300, 250.0, 240, "area_4h", ""),
    ],
)
def test_what_is_not_covered_is_not_given(keep, next_meal, until, given, why):
    curve = measure_curve(FIVE[keep], shape(FIVE[keep]), next_meal_min=next_meal)
    assert curve.late_until_min == until
    assert (curve.area_3h is not None) == (given in ("area_3h", "area_4h"))
    assert (curve.late_fall_mmol is None) == (curve.area_3h is None)
    assert (curve.area_4h is not None) == (given == "area_4h")
    names = [name for name in ("area_3h", "late_fall_mmol", "area_4h") if getattr(curve, name) is None]
    assert curve.missing == dict.fromkeys(names, why)


def test_a_next_meal_before_the_peak():
    curve = measure_curve(FIVE, shape(FIVE), next_meal_min=20.0)
    assert curve.late_until_min == 20
    assert curve.second_rise_mmol is None
    assert curve.missing["second_rise_mmol"] == "next meal after 20 min"


def test_small_climbs_are_no_second_rise():
    assert find_second_rise(np.array([0.0, 15, 30]), np.array([7.0, 6.0, 6.4])) == (0.0, None)


values = st.lists(st.floats(2, 20, allow_subnormal=False), min_size=9, max_size=9)


@given(values)
def test_steepest_is_that_of_a_dense_grid(mmol):
    x, y = np.arange(0.0, 121, 15), np.array(mmol)
    grid = np.arange(0, 105.001, 0.5)
    change = (np.interp(grid + 15, x, y) - np.interp(grid, x, y)) / 15
    up, down = find_steepest(x, y)
    assert up == pytest.approx(max(0, change.max()), abs=1e-9)
    assert down == pytest.approx(max(0, -change.min()), abs=1e-9)


@given(values)
def test_late_areas_grow_and_thinning_on_the_line_changes_nothing(mmol):
    minutes = np.arange(-15.0, 241, 30)
    dense = np.arange(-15.0, 226, 5)
    curve, fine = (measure_curve(t, np.interp(t, minutes, mmol)) for t in (minutes, dense))
    assert curve.area_2h <= curve.area_3h + 1e-9
    assert curve.area_4h is None or curve.area_3h <= curve.area_4h + 1e-9
    assert curve.second_rise_mmol >= 0
    assert curve.slope_up >= 0
    assert curve.slope_down >= 0
    assert fine.area_2h >= 0


def test_cut():
    x, y = np.array([0.0, 30, 60]), np.array([5.0, 8, 5])
    assert [c.tolist() for c in cut(x, y, 45)] == [[0, 30, 45], [5, 8, 6.5]]
    assert [c.tolist() for c in cut(x, y, 30)] == [[0, 30], [5, 8]]
    assert [c.tolist() for c in cut(x, y, 90)] == [[0, 30, 60], [5, 8, 5]]
