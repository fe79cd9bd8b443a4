"""The score: its arithmetic, its properties, its band, and what published responses get."""

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm
from scipy.stats import t as student

from analysis.curves import measure_curve
from analysis.evenness import (
    CV_WITHIN,
    LEVEL,
    NOISE_POINTS,
    PARTS,
    T_95,
    Z_95,
    half_band,
    score_curve,
)
from analysis.results import Curve

TYPICAL = tomllib.loads((Path(__file__).parent / "published/typical.toml").read_text())
FLAT = Curve(5.0, 3, 5.0, 0.0, 0.0, 0.0, 5.0, 0.0, 0.0, 0.0, 1.0)
FAO_RISE_PER_AREA = (3.6 + 2.7 + 3.9 + 1.8) / (113.95 + 155.25 + 179.1667 + 93)
"""mmol/L for each mmol/L·min, over the four series of FAO Paper 66 (published/areas.toml)."""

amounts = st.tuples(st.floats(0, 20), st.floats(0, 2000), st.floats(0, 120), st.floats(0, 10))
FIELDS = ("rise_mmol", "area_2h", "minutes_over_7_8", "dip_mmol")


def make_curve(values):
    return replace(FLAT, **dict(zip(FIELDS, values, strict=True)))


def scored(score):
    """A curve with this score, by its area and rise alone (20 or more)."""
    lost = 100 - score
    area = min(50, lost)
    return make_curve((max(0, lost - area) / 6, 6 * area, 0, 0))


def test_worked_by_hand():
    """6·2 + 120/6 + 12/6 + 5·(1.6 - 1) = 12 + 20 + 2 + 3."""
    evenness = score_curve(make_curve((2.0, 120.0, 12.0, 1.6)))
    assert list(evenness.lost) == ["rise", "area", "high", "dip"]
    assert list(evenness.lost.values()) == pytest.approx([12, 20, 2, 3])
    assert evenness.score == pytest.approx(63)


def test_caps_make_a_hundred():
    assert sum(part.cap for part in PARTS) == 100
    assert score_curve(make_curve((99, 9999, 120, 99))).score == 0
    assert score_curve(FLAT).score == 100


@given(amounts)
def test_bounded_and_the_parts_add_up(values):
    evenness = score_curve(make_curve(values))
    assert 0 <= evenness.low <= evenness.score <= evenness.high <= 100
    assert evenness.score == 100 - sum(evenness.lost.values())
    assert all(0 <= evenness.lost[part.name] <= part.cap for part in PARTS)


@given(amounts, st.integers(0, 3), st.floats(0, 100))
def test_more_of_any_part_never_raises_the_score(values, which, more):
    worse = [v + more * (i == which) for i, v in enumerate(values)]
    assert score_curve(make_curve(worse)).score <= score_curve(make_curve(values)).score


@given(amounts, st.lists(amounts, max_size=6))
def test_other_meals_do_not_change_the_score(values, others):
    curve = make_curve(values)
    with_others = score_curve(curve, [curve, *map(make_curve, others)])
    assert (with_others.score, with_others.lost) == (score_curve(curve).score, score_curve(curve).lost)


@given(st.floats(0, 6), st.integers(20, 70))
def test_free_of_units(rise, peak):
    """The parts are in mmol/L whatever unit readings come in: whole mg/dL cost only their rounding.

    That is at most 0.5/18.0182 on a reading and on the baseline: 6·0.056 + 120·0.056/6 + 10·0.056 points,
    and what the time above 7.8 shifts by.
    """
    minutes = np.arange(-30.0, 181, 5)
    mmol = 5.1 + np.interp(minutes, [0, peak, peak + 45], [0, rise, 0])
    whole = np.round(mmol * 18.0182) / 18.0182
    moved = score_curve(measure_curve(minutes, whole)), score_curve(measure_curve(minutes, mmol))
    assert moved[0].score == pytest.approx(
        moved[1].score, abs=2.1 + abs(moved[0].lost["high"] - moved[1].lost["high"])
    )


@pytest.mark.parametrize("case", TYPICAL["curve"], ids=lambda c: c["name"])
def test_published_curves(case):
    curve = measure_curve(np.array(case["minutes"], float), np.array(case["mmol"], float))
    assert score_curve(curve).score == pytest.approx(case["value"], abs=case["tolerance"])


@pytest.mark.parametrize("case", TYPICAL["area"], ids=lambda c: c["name"])
def test_published_areas(case):
    curve = make_curve((FAO_RISE_PER_AREA * case["area"], case["area"], 0, 0))
    assert score_curve(curve).score == pytest.approx(case["value"], abs=case["tolerance"])


def test_points_of_t_are_those_of_scipy():
    assert list(T_95) == pytest.approx([student.ppf(0.5 + LEVEL / 2, df) for df in range(1, 31)], abs=6e-4)
    assert pytest.approx(norm.ppf(0.5 + LEVEL / 2), abs=2e-4) == Z_95


def test_band_before_own_repeats():
    """Lost 40 points: SD = √((0.428·40)² + 5²) = 17.83, times 1.645 = 29.34."""
    evenness = score_curve(scored(60), [scored(60), scored(20)])
    assert (evenness.low, evenness.high) == (
        pytest.approx(60 - 29.34, abs=0.01),
        pytest.approx(89.34, abs=0.01),
    )
    assert (evenness.level, evenness.band_from) == (0.9, "published")
    assert (CV_WITHIN, NOISE_POINTS) == (0.428, 5.0)


def test_band_from_own_repeats():
    """Scores 50, 60, 70: SD 10, t(2) = 2.920; so 60 ± 29.2."""
    repeats = [scored(50), scored(60), scored(70)]
    evenness = score_curve(repeats[1], repeats)
    assert (evenness.low, evenness.high) == (pytest.approx(30.8), pytest.approx(89.2))
    assert evenness.band_from == "own repeats"


def test_like_repeats_do_not_promise_more_than_the_sensor_can():
    assert half_band([60, 60, 60], servings=3) == pytest.approx(2.920 * NOISE_POINTS / np.sqrt(3))


def test_own_band_holds_the_typical_score_nine_times_in_ten():
    """Normal servings, SD 60: mean ± half a band holds the true mean in 90 %.

    So large an SD keeps the sensor's floor, which only widens the band, out of the way.
    """
    rng = np.random.default_rng(20260302)
    held = []
    for n in (3, 5, 10):
        scores = rng.normal(0, 60, size=(4000, n))
        half = np.array([half_band(list(row), servings=n) for row in scores])
        held.append(np.mean(np.abs(scores.mean(axis=1)) <= half))
    assert held == pytest.approx([0.9, 0.9, 0.9], abs=0.02)
