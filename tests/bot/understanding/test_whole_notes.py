"""Whole notes with the real food table: the acceptance note, and what is said about what was assumed."""

import pytest

from bot.model.entries import Activity, Meal
from bot.understanding import understand
from tests.bot.understanding.compact import context_at, read


def test_the_acceptance_note(real_table):
    text = "2 slices rye toast with butter and a boiled egg at 7:15, walked 10 min"
    context = context_at("08:00", real_table)
    understood = understand(text, context)
    meal, walk = understood.entries
    assert isinstance(meal, Meal)
    assert isinstance(walk, Activity)
    assert understood.asks == ()
    assert (meal.slot, meal.timed) == ("breakfast", "stated")
    assert meal.at.isoformat() == "2026-03-02T07:15:00+01:00"
    assert meal.said == "2 slices rye toast with butter and a boiled egg at 7:15"
    assert len(meal.items) == 3
    assert all(item.grams > 0 and item.food is not None for item in meal.items)
    assert [item.stated for item in meal.items] == [True, False, True]
    assert (walk.what, walk.minutes, walk.effort, walk.timed) == ("walk", 10, "light", "slot")
    assert meal.at < walk.at < context.now
    assert walk.said == "walked 10 min"


def test_nutrients_follow_the_grams(real_table):
    (meal,) = understand("60 g oats and 120 g oats", context_at("08:00", real_table)).entries
    one, two = meal.items
    assert two.nutrients.carbs_g == pytest.approx(2 * one.nutrients.carbs_g)
    assert meal.nutrients.energy_kcal == pytest.approx(3 * one.nutrients.energy_kcal)
    assert (one.grams_low, one.grams_high) == pytest.approx((57, 63))


def test_what_was_assumed_is_said(real_table):
    (meal,) = understand(
        "2 slices rye toast, some rice, 200 ml milk", context_at("08:00", real_table)
    ).entries
    toast, rice, milk = (item.assumed for item in meal.items)
    assert toast.startswith("1 slice = ")
    assert "1 portion = " in rice
    assert "=" not in milk  # measured: only the kind of milk may be assumed


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("porridge with 60 g oats, 200 ml milk and a pear", ["oats", "milk", "pear"]),
        ("chicken curry with rice and a naan", ["chicken curry", "rice", "naan"]),
        ("mac and cheese", ["mac and cheese"]),
        ("toast with peanut butter & jam, orange juice", ["toast", "peanut butter", "jam", "orange juice"]),
        ("spaghetti bolognese and a glass of red wine", ["spaghetti bolognese", "red wine"]),
    ],
)
def test_foods_are_told_apart(real_table, text, expected):
    (meal,) = understand(text, context_at("13:00", real_table)).entries
    assert [item.name for item in meal.items] == expected


@pytest.mark.parametrize(
    "text", ["flat white", "a glass of milk", "tea with 2 sugars", "2 pints of lager", "water"]
)
def test_drinks_alone_are_a_drink(real_table, text):
    assert read(text, context_at("16:00", real_table)).startswith("drink 16:00~: ")
