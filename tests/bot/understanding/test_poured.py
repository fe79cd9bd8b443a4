"""Milk, water and sauce as people say them with something else, against the real food table."""

import pytest

from bot.foodtable import load_table
from tests.bot.understanding.test_meals_said import grams, items, names


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    return load_table(tmp_path_factory.mktemp("foods"))


def test_an_amount_behind_the_milk_is_of_the_drink(table):
    assert names("iced latte with oat milk, 16 oz", table) == ["iced latte"]
    (weight,) = grams("iced latte with oat milk, 16 oz", table).values()
    assert 440 < weight < 490  # 16 fl oz are 473 ml in the US, 455 ml in the UK


def test_milk_in_parentheses_is_in_the_latte(table):
    assert names("a latte (whole milk, 3 dl)", table) == ["latte"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("hot chocolate with water, small", ["hot chocolate"]),
        ("porridge made with water", ["porridge"]),
        ("porridge wi water", ["porridge"]),
    ],
)
def test_water_that_something_was_made_with_is_no_food(table, text, expected):
    assert names(text, table) == expected


def test_milk_on_cereal_is_less_than_a_glass(table):
    assert grams("cornflakes with milk", table)["milk"] < grams("cornflakes, glass of milk", table)["milk"]


def test_sauce_that_something_was_in_is_less_than_a_helping(table):
    with_sauce = grams("meatballs in tomato sauce", table)
    assert with_sauce["meatball"] == grams("meatballs", table)["meatball"]
    assert with_sauce["tomato sauce"] < grams("tomato sauce", table)["tomato sauce"]


def test_what_swims_in_a_soup_is_less_than_a_helping(table):
    soup = grams("miso soup with tofu and spinach", table)
    assert soup["tofu"] < grams("tofu", table)["tofu"]
    assert soup["spinach"] < grams("spinach", table)["spinach"]
    assert grams("lentil soup with bread", table)["bread"] == grams("bread", table)["bread"]
    assert grams("miso soup and rice", table)["rice"] == grams("rice", table)["rice"]


@pytest.mark.parametrize("text", ["orange squash, no sugar", "orange squash, the no added sugar one"])
def test_a_drink_without_sugar(table, text):
    (drink,) = items(text, table)
    assert drink.nutrients.carbs_g < 5


def test_a_small_number_with_a_point_behind_a_drink_is_litres(table):
    assert grams("a beer 0.5", table)["beer"] == pytest.approx(500, abs=15)
