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
    LEVEL,
    PARTS,
    T_95,
    Z_95,
    find_band,
    find_spread,
    lose_points,
    score_curve,
)
from analysis.results import Curve
from tests.simulated.meals import Kind, curve_of, eat

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
    """Lost 36 points: t = 6, SD 0.79 + 0.25·1.0/1.3 = 0.982; t(8) 1.860, so t is 6 ± 1.83."""
    evenness = score_curve(scored(64))
    assert evenness.high == pytest.approx(100 - 4.17**2, abs=0.1)
    assert evenness.low == pytest.approx(100 - 7.83**2 - 0.982**2, abs=0.1)
    assert (evenness.level, evenness.band_from) == (0.9, "published")


def test_own_repeats_join_what_is_usual():
    alike = score_curve(scored(64), [scored(64)] * 6)
    unlike = score_curve(scored(64), [scored(64), scored(20), scored(90), scored(64), scored(30), scored(95)])
    one = score_curve(scored(64))
    assert one.low < alike.low < alike.high < one.high
    assert unlike.high - unlike.low > one.high - one.low
    assert alike.band_from == "own repeats"


@pytest.mark.parametrize("score", [0, 5, 50, 93, 100])
def test_the_band_holds_the_score_and_stays_on_the_scale(score):
    evenness = score_curve(scored(score))
    assert 0 <= evenness.low <= evenness.score <= evenness.high <= 100


def test_the_band_holds_the_true_mean_about_nine_times_in_ten():
    """Played with the middle of both CVs; tests/bench/conclusions_bands.py has the whole table."""
    rng = np.random.default_rng(9)
    held = []
    for area in (40.0, 110.0, 190.0):
        scores = 100 - np.array(
            [sum(lose_points(curve_of(eat(rng, Kind(area, 50), 0.33))).values()) for _ in range(150)]
        )
        low, high = np.array([find_band(s, find_spread([s])) for s in scores]).T
        held.append(np.mean((low <= scores.mean()) & (scores.mean() <= high)))
    assert 0.85 <= np.mean(held) <= 0.98


def test_the_third_serving_does_not_widen_it():
    rng = np.random.default_rng(10)
    t = rng.normal(5.2, 0.95, size=(400, 3))
    wide = []
    for n in (1, 2, 3):
        bands = [find_band(100 - row[0] ** 2, find_spread(list(100 - row[:n] ** 2))) for row in t]
        wide.append(np.mean([high - low for low, high in bands]))
    assert wide[2] <= wide[1] + 0.3 <= wide[0] + 0.6
