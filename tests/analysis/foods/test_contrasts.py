"""Dishes, two foods side by side and portions, from one fit: against the single effects and the truth."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from analysis.foods.contrasts import compare_foods, judge_dish, occasions_of, respond_to_portions
from analysis.foods.effects import judge_fit
from analysis.foods.model import Fit, fit_foods
from tests.simulated.dishes import Foods, World, live, stock


@pytest.fixture(scope="module")
def lived() -> tuple[Foods, Fit]:
    rng = np.random.default_rng(3)
    foods = stock(rng)
    rows, _ = live(rng, foods, World())
    return foods, fit_foods(rows)


def test_a_dish_of_one_food_is_that_food(lived: tuple[Foods, Fit]) -> None:
    _, fit = lived
    for one in judge_fit(fit)[:4]:
        dish = judge_dish(fit, [one.food], occasions_of(fit, [one.food]))
        assert dish.effect.estimate == pytest.approx(one.estimate)
        assert (dish.effect.low, dish.effect.high) == pytest.approx((one.low, one.high))
        assert dish.grams == pytest.approx((one.grams,))


def test_a_dish_of_what_was_never_apart_is_its_group(lived: tuple[Foods, Fit]) -> None:
    _, fit = lived
    one = next(each for each in judge_fit(fit) if each.group is not None)
    parts = (one.food, *one.always_with)
    dish = judge_dish(fit, parts, occasions_of(fit, parts))
    assert one.group is not None
    assert (dish.effect.estimate, dish.effect.low, dish.effect.high) == pytest.approx(one.group)


def test_two_foods_turned_round_say_the_same(lived: tuple[Foods, Fit]) -> None:
    _, fit = lived
    one, other = fit.design.foods[:2]
    there, back = compare_foods(fit, [one], [other]), compare_foods(fit, [other], [one])
    assert there is not None
    assert back is not None
    assert there.difference.estimate == pytest.approx(-back.difference.estimate)
    assert (there.difference.low, there.difference.high) == pytest.approx(
        (-back.difference.high, -back.difference.low)
    )
    assert there.first_more == pytest.approx(1 - back.first_more)
    assert there.occasions == back.occasions[::-1]
    assert compare_foods(fit, [one], [one]) is None


def test_differences_lie_in_their_intervals_and_are_hardly_ever_told_the_wrong_way_round() -> None:
    """Additive, so that the truth of a difference is that of the portions (tests/simulated/dishes.py)."""
    rng = np.random.default_rng(8)
    held, wrong = [], []
    for _ in range(3):
        foods = stock(rng)
        fit = fit_foods(live(rng, foods, World())[0])
        each = 1.7 * foods.own * foods.line
        starchy = [f for f in range(13) if f"food {f}" in fit.design.foods]
        for a, b in combinations(starchy, 2):
            two = compare_foods(fit, [f"food {a}"], [f"food {b}"])
            assert two is not None
            true = each[a] - each[b]
            held.append(two.difference.low <= true <= two.difference.high)
            if two.differ:
                wrong.append((two.first_more > 0.5) != (true > 0))
    assert np.mean(held) > 0.8
    assert len(wrong) > len(held) / 4
    assert np.mean(wrong) < 0.03


def test_kinds_of_a_food_count_by_how_often_they_were_eaten(lived: tuple[Foods, Fit]) -> None:
    _, fit = lived
    a, b, other = fit.design.foods[:3]
    single = [compare_foods(fit, [kind], [other]) for kind in (a, b)]
    both = compare_foods(fit, [a, b], [other])
    assert both is not None
    assert all(single)
    carbs = [one.carbs_g[0] for one in single if one is not None]
    assert min(carbs) <= both.carbs_g[0] <= max(carbs)


def test_the_curve_of_a_portion_goes_through_nothing_half_and_the_usual(lived: tuple[Foods, Fit]) -> None:
    _, fit = lived
    for one in judge_fit(fit)[:3]:
        found = respond_to_portions(fit, one.food)
        at = np.interp([0.0, found.usual_g / 2, found.usual_g], found.grams, found.middle)
        assert at == pytest.approx([0.0, one.half, one.estimate], abs=0.5)
        assert (found.low <= found.middle).all()
        assert (found.middle <= found.high).all()
        assert found.seen.size == one.occasions


def test_what_an_occasion_shows_is_what_the_model_does_not_explain(lived: tuple[Foods, Fit]) -> None:
    """The same occasion 10 mmol/L·min higher lies 10 higher over the curve."""
    _, fit = lived
    food = fit.design.foods[3]
    rows = occasions_of(fit, [food])
    area = fit.design.area.copy()
    area[rows[0]] += 10.0
    moved = replace(fit, design=replace(fit.design, area=area))
    shift = respond_to_portions(moved, food).seen - respond_to_portions(fit, food).seen
    assert shift == pytest.approx([10.0] + [0.0] * (rows.size - 1))
