"""Indices over days: published vectors, scipy, and what little data gives."""

import tomllib
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from analysis import summaries
from analysis.errors import InsufficientData
from analysis.summaries import CAVEATS, EDGES, count_sufficiency, find_conga, find_mage, find_modd, summarise
from analysis.swings import find_turns
from tests.analysis.frames_of import readings

PUBLISHED = tomllib.loads((Path(__file__).parent / "published/variability.toml").read_text())
K = 18.0182
series = st.lists(st.floats(2, 20, allow_subnormal=False), min_size=2, max_size=60)


@pytest.mark.parametrize("case", PUBLISHED["risk"])
def test_risk_indices(case):
    values = np.array(case["mgdl"], float)
    expected = (case["lbgi"], case["hbgi"])
    assert summaries.find_risk_indices(values, "mg/dL") == pytest.approx(expected, abs=case["tolerance"])
    # the curve for mmol/L is another fit of the same conditions
    assert summaries.find_risk_indices(values / K) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize("unit", EDGES)
def test_the_risk_curve_value_by_value(unit):
    """r = 10·f² of a single value, on the side of its sign."""
    table = PUBLISHED["risk_curve"]
    for value, f in table[unit]:
        low, high = summaries.find_risk_indices(np.array([float(value)]), unit)
        signed = np.sqrt(high / 10) - np.sqrt(low / 10)
        assert signed == pytest.approx(f, abs=table["tolerance"])


def test_the_risk_curve_keeps_the_conditions_of_its_scale():
    """f(1.1) = -f(33.3) = -√10, f(3.9) = -f(10), zero near 6.25 mmol/L (112.5 mg/dL)."""
    for unit, values in (("mmol/L", [1.1, 33.3, 3.9, 10.0]), ("mg/dL", [20.0, 600.0, 70.0, 180.0])):
        low, high, hypo, hyper = (sum(summaries.find_risk_indices(np.array([v]), unit)) for v in values)
        assert (low, high) == pytest.approx((100, 100), rel=0.02)
        assert hypo == pytest.approx(hyper, rel=0.04)
    assert sum(summaries.find_risk_indices(np.array([112.52]), "mg/dL")) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("case", PUBLISHED["mage"])
def test_mage(case):
    mmol = np.array(case["mmol"], float)
    assert summaries.find_sd(mmol) == pytest.approx(case["sd"], abs=5e-4)
    assert find_mage(mmol) == case["value"]
    assert find_mage(mmol + 3) == pytest.approx(case["value"])


def test_mage_counts_the_direction_of_the_first_swing():
    """SD 2.6: down 6, up 3, down 4; the falls are counted: (6 + 4)/2."""
    assert find_mage(np.array([10.0, 4, 7, 3, 3.5])) == pytest.approx(5.0)
    assert find_mage(np.full(9, 5.0)) is None


def test_modd_and_conga():
    (modd,), (conga,) = PUBLISHED["modd"], PUBLISHED["conga"]
    two = np.array(modd["days"], float)
    days, minutes = np.repeat([10, 11], 4), np.tile([0.0, 360, 720, 1080], 2)
    assert find_modd(days, minutes, two.ravel()) == modd["value"]
    assert find_modd(days + np.repeat([0, 1], 4), minutes, two.ravel()) is None
    hourly = np.array(conga["hourly"], float)
    at_min = 60.0 * np.arange(hourly.size)
    assert find_conga(at_min, hourly, conga["hours"]) == pytest.approx(conga["value"], abs=5e-6)
    assert find_conga(at_min, hourly, 4) is None


def test_j_and_a1c():
    (case,) = PUBLISHED["j"]
    one = (case["mean_mgdl"] + case["sd_mgdl"] * np.array([-1, 0, 1])) / K
    assert summarise(readings([0, 5, 10], one)).j_index == pytest.approx(case["value"], abs=case["tolerance"])
    table = PUBLISHED["a1c"]
    for mgdl, gmi, adag in zip(table["mean_mgdl"], table["gmi"], table["adag"], strict=True):
        estimates = summaries.estimate_a1c(mgdl / K)
        assert [e.percent for e in estimates] == pytest.approx([gmi, adag], abs=table["tolerance"])
        assert [CAVEATS[e.caveat] for e in estimates] == [CAVEATS["a1c_estimate"]] * 2
    eag = PUBLISHED["eag"]
    for a1c, mgdl in zip(eag["a1c"], eag["mgdl"], strict=True):
        assert summaries.estimate_a1c(mgdl / K)[1].percent == pytest.approx(a1c, abs=eag["tolerance"] / 28.7)


@pytest.mark.parametrize("case", PUBLISHED["sufficiency"])
def test_sufficiency(case):
    found = count_sufficiency(case["need"], case["interval_min"])
    assert (found.slots, found.need, found.enough) == (case["slots"], case["need"], True)
    assert not count_sufficiency(case["need"] - 1, case["interval_min"]).enough


def test_ranges_leave_no_gap():
    assert list(summaries.share_ranges(np.array([5.0]))) == [
        "below 3", "3 to 3.9", "3.9 to 7.8", "7.8 to 10", "10 to 13.9", "13.9 and above",
    ]  # fmt: skip
    # 3.89 mmol/L is below 3.9 but is 70.09 mg/dL: the declared unit decides
    assert summaries.share_ranges(np.array([3.89]))["3 to 3.9"] == 1
    assert summaries.share_ranges(np.array([3.89]), "mg/dL")["70 to 140"] == 1
    with pytest.raises(KeyError):
        summaries.share_ranges(np.array([5.0]), "g/L")


def test_whole_mgdl_keep_their_range_through_mmol():
    for edge, name in ((54, "54 to 70"), (70, "70 to 140"), (140, "140 to 180"), (180, "180 to 250")):
        assert summaries.share_ranges(np.array([edge / K]), "mg/dL")[name] == 1


@given(series, st.sampled_from(sorted(EDGES)))
def test_ranges_add_up(values, unit):
    shares = summaries.share_ranges(np.array(values), unit)
    assert sum(shares.values()) == pytest.approx(1)


@given(series, st.floats(0.1, 5))
def test_turns_part_the_series_into_large_swings(values, size):
    turns = find_turns(values, size)
    heights = np.diff([values[k] for k in turns])
    assert turns == sorted(set(turns))
    assert (np.abs(heights) > size).all()
    assert (heights[1:] * heights[:-1] < 0).all()
    # nothing larger is left out: within a climb no fall is that large, and the other way round
    for (a, b), height in zip(pairwise(turns), heights, strict=True):
        part = np.sign(height) * np.array(values[a : b + 1])
        assert (np.maximum.accumulate(part) - part).max() <= size + 1e-9
    if not turns:
        assert np.ptp(values) <= size


def normal_days(days=14, seed=1):
    """Invented days of a person without diabetes: four meals a day on a steady level, with noise."""
    rng = np.random.default_rng(seed)
    minutes = np.arange(0, 1440 * days, 5.0)
    mmol = 5.1 + 0.2 * np.cos(minutes / 1440 * 2 * np.pi) + rng.normal(0, 0.25, minutes.size)
    for day in range(days):
        for bite in (420, 750, 960, 1140):
            x = np.clip(minutes - 1440 * day - bite - rng.integers(-30, 30), 0, None) / 40
            mmol += rng.uniform(0.8, 3.2) * (x * np.exp(1 - x)) ** 2
    return minutes, mmol


def test_a_fortnight_against_scipy_and_the_sanity_range():
    minutes, mmol = normal_days()
    summary = summarise(readings(minutes, mmol).sample(frac=1, random_state=1))
    assert (summary.n, summary.days, summary.at_limit) == (4032, 14, 0)
    assert summary.mean_mmol == pytest.approx(mmol.mean())
    assert summary.cv == pytest.approx(100 * stats.variation(mmol, ddof=1))
    assert summary.sufficiency == count_sufficiency(4032, 5)
    assert summary.conga(1) == pytest.approx(np.std(mmol[12:] - mmol[:-12], ddof=1))
    assert summary.modd_mmol == pytest.approx(np.abs(mmol[288:] - mmol[:-288]).mean())
    daily = [find_mage(day) for day in mmol.reshape(14, 288)]
    assert summary.mage_mmol == pytest.approx(np.mean(daily))
    sane = PUBLISHED["without_diabetes"]
    assert sane["share_low"] <= summary.ranges["3.9 to 7.8"] <= 1.0  # invented days are tidier than real ones
    assert 12 <= summary.cv <= 23


def test_little_data_says_so():
    with pytest.raises(InsufficientData, match="no readings"):
        summarise(readings([], []))
    one = summarise(readings([0], [5.0], flags="low limit"))
    assert (one.sd_mmol, one.cv, one.mage_mmol, one.modd_mmol, one.j_index) == (None,) * 5
    assert (one.conga(1), one.at_limit, one.sufficiency.enough) == (None, 1, False)
    old = summarise(readings([0, 1440 * 20], [5.0, 5.0]))
    assert (old.n, old.sufficiency.have) == (2, 1)


def test_two_weeks_read_at_unlike_steps_weigh_alike():
    """A week at 6 every 5 minutes, a week at 9 every 15: half of the time each."""
    often, seldom = np.arange(0, 7 * 1440.0, 5), np.arange(7 * 1440.0, 14 * 1440, 15)
    mmol = np.where(np.append(often, seldom) < 7 * 1440, 6.0, 9.0)
    found = summarise(readings(np.append(often, seldom), mmol), interval_min=5)
    assert found.ranges["7.8 to 10"] == pytest.approx(0.5, abs=0.002)
    assert found.mean_mmol == pytest.approx(7.5, abs=0.01)
    assert found.sd_mmol == pytest.approx(1.5, abs=0.01)
    assert found.sufficiency.share == pytest.approx(1, abs=0.002)
    seldom_only = summaries.find_risk_indices(np.array([9.0]))
    assert found.risk_indices()[1] == pytest.approx(seldom_only[1] / 2, rel=0.01)


def test_holes_weigh_nothing():
    minutes = np.append(np.arange(0, 300.0, 5), np.arange(900.0, 1200, 5))
    found = summarise(readings(minutes, np.where(minutes < 600, 5.0, 9.0)))
    assert found.ranges["3.9 to 7.8"] == pytest.approx(0.5)
    assert found.sufficiency.have == minutes.size


def test_limits_without_a_number_count_in_shares_of_time():
    minutes = np.arange(0, 500.0, 5)
    mmol = np.full(100, 5.0)
    flags = np.full(100, "", dtype=object)
    mmol[:10], flags[:10] = np.nan, "low limit"
    mmol[60:80], flags[60:80] = np.nan, "high limit"
    found = summarise(readings(minutes, mmol, flags))
    assert found.ranges["below 3"] == pytest.approx(0.1)
    assert found.ranges["13.9 and above"] == pytest.approx(0.2)
    assert (found.n, found.at_limit, found.mean_mmol) == (70, 30, 5.0)
    with pytest.raises(InsufficientData):
        summarise(readings([0, 5], [np.nan, np.nan], "low limit"))
