"""Which servings are one meal, and where meals stand."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.evenness import half_band
from analysis.ranking import group_servings, meal_key, rank_meals, same_meal
from analysis.results import Evenness, Serving

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


def test_ranked_by_mean_most_even_first():
    servings = [serve(1, 40), serve(2, 80, "salad"), serve(3, 50), serve(4, None), serve(5, 40, "oats", 120)]
    ranking = rank_meals(servings)
    assert [(m.key, m.score, len(m.servings)) for m in ranking.meals] == [
        ("salad", 80, 1),
        ("oats", 45, 2),
        ("oats", 40, 1),
    ]
    assert ranking.meals[1].title == "oats 3"
    assert [s.entry_id for s in ranking.unscored] == [4]
    assert rank_meals([]).meals == ()


def test_bands_narrow_with_servings():
    one, two, six = (rank_meals([serve(k, 60 + k % 2) for k in range(n)]).meals[0] for n in (1, 2, 6))
    assert (one.low, one.high) == (51, 69)
    assert two.high - two.score == pytest.approx(half_band([60.0, 61.0], servings=2))
    assert six.high - six.low < two.high - two.low
    many = rank_meals([serve(k, 99 + k % 2) for k in range(3)]).meals[0]
    assert many.high == 100


def test_ties_do_not_depend_on_the_order_given():
    servings = [serve(1, 60, "b"), serve(2, 60, "a"), serve(3, 60, "a", 200)]
    expected = [m.servings for m in rank_meals(servings).meals]
    assert expected == [m.servings for m in rank_meals(servings[::-1]).meals]
    assert [s[0].entry_id for s in expected] == [2, 3, 1]
