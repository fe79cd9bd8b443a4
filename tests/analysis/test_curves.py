"""The measures of a curve: small cases by hand, properties, and everything that is refused."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.areas import iauc
from analysis.curves import measure_curve
from analysis.errors import InsufficientData

FIVE = np.arange(-30.0, 181, 5)
QUARTER = np.arange(-30.0, 181, 15)
HALF = np.arange(-30.0, 181, 30)
glucose = st.floats(2, 20, allow_subnormal=False)


def hump(minutes, rise=3.0, base=5.0):
    """Straight up to `rise` at 45 min, straight down to the base at 105 min."""
    return base + np.interp(minutes, [0, 45, 105], [0, rise, 0])


def refuse(minutes, mmol=None):
    minutes = np.asarray(minutes, float)
    with pytest.raises(InsufficientData) as caught:
        measure_curve(minutes, hump(minutes) if mmol is None else mmol)
    return caught.value


def test_a_curve_worked_by_hand():
    """Triangle of 3 over 105 min: area 157.5. Above 7.8 from 42 to 49 min: 45·0.2/3 + 60·0.2/3 = 7 min."""
    curve = measure_curve(FIVE, hump(FIVE))
    assert (curve.baseline_mmol, curve.baseline_n) == (5.0, 4)
    assert (curve.peak_mmol, curve.rise_mmol, curve.minutes_to_peak) == (8.0, 3.0, 45.0)
    assert curve.area_2h == pytest.approx(157.5)
    assert (curve.two_hour_mmol, curve.dip_mmol) == (5.0, 0.0)
    assert curve.minutes_over_7_8 == pytest.approx(7.0)
    assert curve.back_after_min == pytest.approx(105.0)
    assert (curve.coverage, curve.flags, curve.variant) == (1.0, (), "iAUC")


def test_dip_and_way_back_by_hand():
    """From 8 at 60 down to 4 at 120: 5 is crossed at 60 + 60·3/4 = 105; the lowest is 1.0 under it."""
    curve = measure_curve(np.array([-5.0, 0, 30, 60, 90, 120]), np.array([5.0, 5, 6.5, 8, 6, 4]))
    assert curve.back_after_min == pytest.approx(90 + 30 * 1 / 2)
    assert curve.dip_mmol == pytest.approx(1.0)


def test_never_back_never_up():
    up = measure_curve(HALF, hump(HALF) + (HALF > 60))
    assert up.back_after_min is None
    falling = measure_curve(QUARTER, 7 - np.clip(QUARTER, 0, 120) / 60)
    assert (falling.rise_mmol, falling.area_2h) == (0.0, 0.0)
    assert falling.back_after_min == falling.minutes_to_peak == 0.0
    assert falling.dip_mmol == pytest.approx(2.0)


def test_ends_are_interpolated_between_neighbours():
    """Line of slope 0.05 through -7 .. 128: 5.05 + 0.05·t has 11.05 at 120 and 5.05 at 0."""
    minutes = np.arange(-7.0, 129, 15)
    curve = measure_curve(minutes, 5.05 + 0.05 * minutes)
    baseline = 5.05 - 0.05 * 7
    assert curve.two_hour_mmol == pytest.approx(11.05)
    assert curve.area_2h == pytest.approx(120 * (5.05 + 11.05) / 2 - 120 * baseline)
    assert curve.minutes_to_peak == 113.0
    assert curve.coverage == 1.0


@pytest.mark.parametrize(
    ("minutes", "mmol", "baseline", "n", "flag"),
    [
        ([-15, 0], [4.9, 4.5], 4.7, 2, None),
        ([-15.1, 0], [9.0, 4.5], 4.5, 1, None),
        ([-30, -20], [5.0, 5.2], 5.1, 2, "baseline from 20 min before"),
        ([-31, 4], [9.0, 5.2], 5.2, 1, "baseline from 4 min after the first bite"),
        ([10], [5.5], 5.5, 1, "baseline from 10 min after the first bite"),
    ],
)
def test_baseline(minutes, mmol, baseline, n, flag):
    rest = np.arange(15.0, 121, 15)
    curve = measure_curve(np.append(minutes, rest), np.append(mmol, 6 + 0 * rest))
    assert (curve.baseline_mmol, curve.baseline_n) == (pytest.approx(baseline), n)
    assert ([f for f in curve.flags if f.startswith("baseline")] or [None]) == [flag]


@pytest.mark.parametrize("series", [FIVE, QUARTER, HALF], ids=["5 min", "15 min", "30 min"])
def test_every_usual_spacing_is_covered(series):
    curve = measure_curve(series, hump(series))
    assert curve.coverage == 1.0
    assert curve.flags == (("a reading only every 30 min",) if series is HALF else ())


def test_a_gap_is_bridged_and_flagged():
    minutes = FIVE[(FIVE <= 30) | (FIVE >= 70)]
    assert measure_curve(minutes, hump(minutes)).flags == ("gap of 40 min",)
    one_missing = QUARTER[QUARTER != 60]
    assert measure_curve(one_missing, hump(one_missing)).flags == ("gap of 30 min",)
    late = FIVE[(FIVE <= 100) | (FIVE >= 140)]
    assert measure_curve(late, hump(late)).flags == ("gap of 40 min",)


def test_the_last_minutes_may_be_missing():
    minutes = FIVE[FIVE <= 110]
    curve = measure_curve(minutes, hump(minutes, 4))
    assert (curve.flags, curve.coverage) == (("readings stop at 110 min",), pytest.approx(110 / 120))
    assert curve.two_hour_mmol == 5.0


def test_refusals_say_what_is_missing():
    error = refuse(FIVE[FIVE <= 40])
    assert error.what == "readings stop 40 min after the first bite"
    assert (error.have, error.need, error.unit) == (40, 110, "min")
    assert refuse(FIVE[FIVE < 110]).what == "readings stop 105 min after the first bite"
    assert refuse(FIVE[FIVE < 0]).what == "no readings after the first bite"
    hole = FIVE[(FIVE <= 20) | (FIVE >= 75)]
    assert refuse(hole).what == "no readings from 20 to 75 min after the first bite"
    assert (
        refuse([-25, 25, *range(30, 130, 5)]).what == "no readings in the first 25 min after the first bite"
    )
    assert refuse(FIVE[FIVE > 10]).what.startswith("no readings from 30 min before")
    assert refuse([]).what.startswith("no readings from 30 min before")
    assert refuse([-5, 0, 30, 60, 100, 170]).what == "readings stop 100 min after the first bite"


def test_wrong_input_is_an_error():
    with pytest.raises(ValueError, match="one length"):
        measure_curve(FIVE, FIVE[:3])
    with pytest.raises(ValueError, match="another unit"):
        measure_curve(FIVE, 18 * hump(FIVE))
    for odd in (-1.0, np.inf):
        with pytest.raises(ValueError, match="no glucose in mmol/L"):
            measure_curve(FIVE, np.where(FIVE == 30, odd, 5.0))
    with pytest.raises(ValueError, match="one for each reading"):
        measure_curve(FIVE, hump(FIVE), limits=["low limit"])


def test_sensor_limits_are_flagged():
    limits = ["high limit" if t == 45 else "low limit" if t == 170 else "" for t in FIVE]
    flags = measure_curve(FIVE, hump(FIVE), limits=limits).flags
    assert flags == ("a reading at the sensor's high limit",)


def test_beyond_the_limits_no_line_is_drawn():
    """ "HI" comes as a NaN with its limit: the peak is not known, so the curve is refused."""
    mmol = np.where((FIVE >= 40) & (FIVE <= 50), np.nan, hump(FIVE))
    limits = ["high limit" if np.isnan(m) else "" for m in mmol]
    with pytest.raises(InsufficientData) as caught:
        measure_curve(FIVE, mmol, limits=limits)
    assert caught.value.what == "a reading beyond the sensor's high limit 40 min after the first bite"
    assert measure_curve(FIVE, mmol).peak_mmol == pytest.approx(hump(35.0) + 0, abs=0.4)  # merely missing
    late = np.where(FIVE == 150, np.nan, hump(FIVE))
    curve = measure_curve(FIVE, late, limits=["low limit" if np.isnan(m) else "" for m in late])
    assert curve.area_3h is None
    assert curve.missing["area_3h"] == "a reading beyond the sensor's low limit 150 min after the first bite"
    assert curve.area_2h == pytest.approx(157.5)
    assert curve.flags == ()


@given(st.permutations(range(len(QUARTER))))
def test_order_duplicates_and_nan_do_not_matter(order):
    mmol = hump(QUARTER)
    minutes = np.concatenate([QUARTER[order], QUARTER, [33.0, np.nan]])
    values = np.concatenate([mmol[order] + 0.25, mmol - 0.25, [np.nan, 9.0]])
    curve, plain = measure_curve(minutes, values), measure_curve(QUARTER, mmol)
    assert curve.area_2h == pytest.approx(plain.area_2h)
    assert (curve.peak_mmol, curve.baseline_n, curve.flags) == (8.0, plain.baseline_n, plain.flags)


@given(st.lists(glucose, min_size=len(QUARTER), max_size=len(QUARTER)), st.floats(0.5, 2))
def test_measures_hang_together(values, level):
    mmol = np.array(values)
    curve = measure_curve(QUARTER, mmol)
    window = (QUARTER >= 0) & (QUARTER <= 120)
    assert curve.rise_mmol == max(0, mmol[window].max() - curve.baseline_mmol)
    assert curve.dip_mmol == pytest.approx(max(0, curve.baseline_mmol - mmol[window].min()))
    assert curve.area_2h == pytest.approx(iauc(QUARTER[window], mmol[window], curve.baseline_mmol))
    assert 0 <= curve.minutes_over_7_8 <= 120
    grid = np.linspace(0, 120, 24_001)
    dense = 120 * np.mean(np.interp(grid, QUARTER, mmol) > 7.8)
    assert curve.minutes_over_7_8 == pytest.approx(dense, abs=0.06)
    if curve.back_after_min is not None:
        assert curve.minutes_to_peak <= curve.back_after_min <= 120
        assert np.interp(curve.back_after_min, QUARTER, mmol) <= curve.baseline_mmol + 1e-6
    # readings after the next two and a half hours, or long before, take no part
    far = measure_curve(np.append(QUARTER, [-300, 400]), np.append(mmol, [20 * level / 2, 2 * level]))
    assert replace(far, missing={}) == replace(curve, missing={})


def test_a_longer_window():
    curve = measure_curve(FIVE, hump(FIVE), window_min=180)
    assert curve.area_2h == pytest.approx(157.5)
    assert curve.coverage == 1.0
