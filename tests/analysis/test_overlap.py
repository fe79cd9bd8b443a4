"""Meals close together: constructed overlaps, of which the true responses are known."""

import numpy as np
import pytest

from analysis.areas import iauc
from analysis.curves import measure_curve
from analysis.overlap import find_tail, separate_curve

FIVE = np.arange(-60.0, 301, 5)
GAPS = (50.0, 60.0, 75.0, 90.0, 105.0)
RISES = (1.5, 3.0, 4.5)
RMSE = {"later": (33, 124), "earlier": (22, 80)}
"""Error of the area (mmol·min/L, root mean square): separated, and as recorded."""


def swell(t, rise, top):
    x = np.clip(t, 0, None) / top
    return rise * (x * np.exp(1 - x)) ** 2


SHAPES = {
    "one peak": swell,
    "triangle": lambda t, rise, top: np.interp(t, [0, top, 2.4 * top], [0, rise, 0]),
    "two peaks": lambda t, rise, top: swell(t, rise, top) + swell(t - 60, 0.4 * rise, top),
    "with fat": lambda t, rise, top: swell(t, rise, top + 20),
}


def separate_both(mmol, gap):
    first, second = measure_curve(FIVE, mmol), measure_curve(FIVE - gap, mmol)
    rest = first.baseline_mmol
    return (
        (first, separate_curve(first, FIVE, mmol, rest_mmol=rest, next_min=gap)),
        (second, separate_curve(second, FIVE - gap, mmol, rest_mmol=rest, last_min=gap)),
    )


@pytest.fixture(scope="module")
def errors():
    """Return for the later and the earlier meal of each separable overlap: (error separated, as recorded)."""
    rng = np.random.default_rng(20260302)
    found = {"later": [], "earlier": []}
    tried = 0
    for shape in SHAPES.values():
        for gap in GAPS:
            for rise_a in RISES:
                for rise_b in RISES:
                    for top in (30, 40, 50):
                        a, b = shape(FIVE, rise_a, top), shape(FIVE - gap, rise_b, top)
                        mmol = np.maximum(0.6, 5 + a + b + rng.normal(0, 0.2, FIVE.size))
                        tried += 1
                        pairs = separate_both(mmol, gap)
                        for who, (recorded, own), response, start in zip(
                            ("earlier", "later"), pairs, (a, b), (0, gap), strict=True
                        ):
                            if own.variant != "iAUC, separated":
                                continue
                            window = (start <= FIVE) & (start + 120 >= FIVE)
                            true = iauc(FIVE[window], response[window], 0.0)
                            found[who].append((own.area_2h - true, recorded.area_2h - true))
    return tried, {who: np.array(rows) for who, rows in found.items()}


@pytest.mark.parametrize("who", ["later", "earlier"])
def test_separated_areas_are_much_nearer_to_the_truth(errors, who):
    tried, found = errors
    separated, recorded = np.sqrt((found[who] ** 2).mean(axis=0))
    print(f"{who}: {len(found[who])} of {tried}; {separated:.0f} separated, {recorded:.0f} recorded")
    assert (separated, recorded) == pytest.approx(RMSE[who], abs=3)
    assert 0.5 < len(found[who]) / tried < 0.9


def test_what_still_rises_is_left_in_one_curve():
    mmol = 5 + swell(FIVE, 3, 45) + swell(FIVE - 30, 3, 45)
    for recorded, own in separate_both(mmol, 30.0):
        assert own.variant == "iAUC"
        assert own.area_2h == recorded.area_2h
        assert own.flags[-1].endswith("in the same curve")


@pytest.mark.parametrize("gap", [5.0, 15.0, 44.0])
def test_meals_of_one_sitting_are_never_separated(gap):
    """At 5 min the first has not begun to rise: that it has left nothing must not read as that it is over."""
    for shape in SHAPES.values():
        for recorded, own in separate_both(5 + shape(FIVE, 3, 30) + shape(FIVE - gap, 2, 30), gap):
            assert (own.variant, own.area_2h) == ("iAUC", recorded.area_2h)


def test_a_meal_that_is_over_leaves_nothing():
    """The first ends after 72 min: nothing of it is left at 100, and the second is as recorded."""
    mmol = 5 + SHAPES["triangle"](FIVE, 3, 30) + SHAPES["triangle"](FIVE - 100, 2, 30)
    (first, own_first), (second, own_second) = separate_both(mmol, 100.0)
    assert own_second.area_2h == pytest.approx(second.area_2h) == pytest.approx(2 * 72 / 2, rel=0.01)
    assert own_first.area_2h == pytest.approx(3 * 72 / 2, rel=0.01)
    assert first.area_2h > own_first.area_2h + 10
    assert own_first.flags == ("next meal after 100 min, its rise taken off",)


def test_without_a_level_or_readings_at_the_bite():
    mmol = 5 + swell(FIVE, 3, 45)
    curve = measure_curve(FIVE, mmol)
    kept = separate_curve(curve, FIVE, mmol, rest_mmol=None, last_min=70.0)
    assert (kept.area_2h, kept.flags) == (curve.area_2h, ("last meal 70 min before, in the same curve",))
    assert find_tail(FIVE[FIVE < 50], mmol[FIVE < 50], 100.0, 5.0) is None


def test_the_levels_stay_those_that_were_read():
    mmol = 5 + swell(FIVE, 3, 40) + swell(FIVE - 75, 3, 40)
    for recorded, own in separate_both(mmol, 75.0):
        for name in ("baseline_mmol", "baseline_n", "two_hour_mmol"):
            assert getattr(own, name) == getattr(recorded, name)
        assert own.peak_mmol in mmol


def test_no_meal_is_charged_with_the_time_that_another_one_is_high():
    """Only the second goes over 7.8, and it would do so alone, too."""
    mmol = 5 + swell(FIVE, 2, 40) + swell(FIVE - 75, 4.5, 40)
    (first, own_first), (second, own_second) = separate_both(mmol, 75.0)
    assert first.minutes_over_7_8 > 20
    assert own_first.minutes_over_7_8 == 0
    alone = measure_curve(FIVE - 75, 5 + swell(FIVE - 75, 4.5, 40))
    assert own_second.minutes_over_7_8 == pytest.approx(alone.minutes_over_7_8, abs=3)
    assert second.minutes_over_7_8 > own_second.minutes_over_7_8
