"""Which servings are one meal, and where meals stand."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.ranking import group_servings, meal_key, rank_meals, same_meal
from analysis.results import Curve, Evenness, Serving

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def serve(entry_id, score=70.0, key="oats", carbs_g=50.0):
    evenness = None if score is None else Evenness(score, {}, score - 9, score + 9)
    at = NOON + timedelta(days=entry_id)
    title = f"{key} {entry_id}"
    return Serving(entry_id, at, "lunch", title, key, carbs_g, np.array([]), np.array([]), evenness=evenness)


def test_key_is_the_foods_and_not_their_order():
    assert meal_key([("Rye toast", 64), ("Boiled egg", 50)]) == meal_key(
        [("boiled  egg", 55), ("rye toast ", 60)]
    )
    assert meal_key([("rice", 150), ("rice", 50)]) == "rice"
    assert meal_key([("rice", 150), ("cinnamon", 1)]) == "rice"
    assert meal_key([("cinnamon", 1)]) == "cinnamon"
    assert meal_key([("rice", 150)]) != meal_key([("rice", 150), ("lentils", 50)])


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [
        (55, 60, True),
        (49, 51, True),
        (45, 60, True),
        (30, 60, False),
        (60, 120, False),
        (3, 8, True),
        (0, 2, True),
    ],
)
def test_portions(a, b, same):
    assert same_meal(serve(1, carbs_g=a), serve(2, carbs_g=b)) is same
    assert same_meal(serve(1, carbs_g=b), serve(2, carbs_g=a)) is same
    assert len(group_servings([serve(1, carbs_g=a), serve(2, carbs_g=b)])) == (1 if same else 2)


def test_unknown_portions_and_other_foods():
    assert same_meal(serve(1, carbs_g=None), serve(2, carbs_g=None))
    assert not same_meal(serve(1, carbs_g=None), serve(2))
    assert not same_meal(serve(1), serve(2, key="rice"))


@given(st.lists(st.floats(0, 300), max_size=12), st.randoms())
def test_groups_hold_only_the_same_meal_in_any_order(carbs, random):
    servings = [serve(k, carbs_g=c) for k, c in enumerate(carbs)]
    groups = group_servings(servings)
    assert sorted(s.entry_id for g in groups for s in g) == list(range(len(carbs)))
    assert all(same_meal(a, b) for g in groups for a in g for b in g)
    random.shuffle(servings)
    assert [[s.entry_id for s in g] for g in group_servings(servings)] == [
        [s.entry_id for s in g] for g in groups
    ]


def test_most_even_first_drawn_towards_each_other():
    servings = [serve(1, 40), serve(2, 80, "salad"), serve(3, 50), serve(4, None), serve(5, 40, "oats", 120)]
    ranking = rank_meals(servings)
    assert [(m.key, len(m.servings)) for m in ranking.meals] == [("salad", 1), ("oats", 2), ("oats", 1)]
    assert ranking.meals[1].title == "oats 3"
    assert 40 < ranking.meals[-1].score < ranking.meals[1].score < ranking.meals[0].score < 80
    assert all(m.low <= m.score <= m.high for m in ranking.meals)
    assert not ranking.told_apart
    assert [s.entry_id for s in ranking.unscored] == [4]
    assert rank_meals([]).meals == ()


def test_repeats_tell_meals_apart_and_narrow_their_range():
    once = [serve(0, 88, "salad"), serve(100, 45)]
    often = once + [serve(k, 85 + k % 5, "salad") for k in (1, 2, 3)]
    often += [serve(100 + k, 40 + 3 * k) for k in (1, 2, 3)]
    few, many = rank_meals(once), rank_meals(often)
    assert not few.told_apart
    assert many.told_apart
    assert many.meals[1].behind > 0.95
    assert many.meals[0].high - many.meals[0].low < few.meals[0].high - few.meals[0].low
    assert abs(many.meals[0].score - 87) < abs(few.meals[0].score - 87)


@pytest.mark.parametrize("flag", ["next meal after 30 min, in the same curve", "the sensor's first day"])
def test_what_is_not_the_meals_own_is_not_ranked(flag):
    curve = Curve(5.0, 3, 5.0, 0.0, 0.0, 0.0, 5.0, 0.0, 0.0, 0.0, 1.0, flags=(flag,))
    odd = replace(serve(9, 100, "nibble"), curve=curve)
    ranking = rank_meals([serve(1), serve(2, 60, "rice"), odd])
    assert "nibble" not in [m.key for m in ranking.meals]
    assert [s.entry_id for s, _ in ranking.left_out] == [9]


def test_ties_do_not_depend_on_the_order_given():
    servings = [serve(1, 60, "b"), serve(2, 60, "a"), serve(3, 60, "a", 200)]
    expected = [m.servings for m in rank_meals(servings).meals]
    assert expected == [m.servings for m in rank_meals(servings[::-1]).meals]
    assert [s[0].entry_id for s in expected] == [2, 3, 1]
