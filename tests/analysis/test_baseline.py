"""The baseline: how sure it is, and whether it was moving."""

import numpy as np
import pytest
from scipy.stats import linregress

from analysis.baseline import ONE_READING_SD, find_baseline
from analysis.curves import measure_curve
from analysis.errors import InsufficientData


def at(*pairs):
    minutes, mmol = zip(*pairs, strict=True)
    return find_baseline(np.array(minutes, float), np.array(mmol, float))


def test_how_sure_one_two_many():
    one = at((-5, 5.0))
    assert (one.n, one.sd, one.se, one.slope_h) == (1, None, 0.24, None)
    two = at((-10, 5.0), (0, 5.2))
    assert two.sd == pytest.approx(0.2 / np.sqrt(2))
    assert two.se == pytest.approx(0.24 / np.sqrt(2))
    rough = at((-15, 4.0), (-10, 6.0), (-5, 4.0), (0, 6.0))
    assert rough.sd == pytest.approx(np.std([4, 6, 4, 6], ddof=1))
    assert rough.se == pytest.approx(rough.sd / 2)


def test_one_sample_is_off_by_what_pairs_differ_by():
    """Two samples 15 min apart differ with SD 0.34 (36 curves of Hand & Crowder), so one has 0.34/√2."""
    assert pytest.approx(0.34 / np.sqrt(2), abs=0.005) == ONE_READING_SD


def test_none_is_refused():
    with pytest.raises(InsufficientData) as caught:
        find_baseline(np.array([-31.0, 11.0]), np.array([5.0, 5.0]))
    assert (caught.value.have, caught.value.need) == (0, 1)


def test_slope_is_that_of_scipy():
    rng = np.random.default_rng(3)
    minutes = np.arange(-45.0, 121, 5)
    mmol = 6 - minutes / 40 + rng.normal(0, 0.1, minutes.size)
    before = minutes <= 0
    slope = linregress(minutes[before], mmol[before]).slope
    assert find_baseline(minutes, mmol).slope_h == pytest.approx(60 * slope)


@pytest.mark.parametrize(
    ("per_hour", "flag"),
    [
        (-1.5, "baseline still falling before the first bite"),
        (1.5, "baseline already rising before the first bite"),
        (-0.9, None),
    ],
)
@pytest.mark.parametrize("every", [5, 15])
def test_a_moving_baseline_is_flagged(per_hour, flag, every):
    minutes = np.arange(-45.0, 121, every)
    curve = measure_curve(minutes, 6 + per_hour * minutes / 60)
    assert curve.baseline_slope_h == pytest.approx(per_hour)
    assert [f for f in curve.flags if "before the first bite" in f] == ([flag] if flag else [])


def test_noise_alone_seldom_looks_like_a_slope():
    """White noise of SD 0.3 in ten readings: the slope has an SD of 0.4 mmol/L an hour."""
    rng = np.random.default_rng(4)
    minutes = np.arange(-45.0, 1, 5)
    flagged = [bool(find_baseline(minutes, 5 + rng.normal(0, 0.3, 10)).flags) for _ in range(2000)]
    assert np.mean(flagged) < 0.04


def test_two_finger_pricks_show_no_slope():
    assert at((-30, 6.0), (0, 5.0)).slope_h is None
