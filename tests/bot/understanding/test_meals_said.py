"""Meals as people text them, against the real food table: one line for each class of wording.

What is expected is what a careful person would note; grams come from the table's own measures, so that a
line holds the reading of the words, not the weight of a slice.
"""

import pytest

from bot.foodtable import load_table
from bot.model.entries import Meal
from bot.understanding import understand
from tests.bot.understanding.compact import context_at


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    return load_table(tmp_path_factory.mktemp("foods"))


def items(text, table):
    """Return the items of the one meal in a text."""
    (meal,) = [e for e in understand(text, context_at("13:00", table)).entries if isinstance(e, Meal)]
    return meal.items


def grams(text, table):
    return {item.name: round(item.grams) for item in items(text, table)}


def names(text, table):
    return [item.name for item in items(text, table)]


SHARES = [
    ("half of the pizza", {"pizza": 175}),
    ("3 of 8 slices of pizza", {"pizza": 300}),
    ("split a large pizza with my wife, had 3 of 8 slices", {"pizza": 300}),
    ("shared a pizza with two friends", {"pizza": 117}),
    ("split the fries between 4 of us", {"fries": 35}),
    ("shared a portion of fries with a friend, half each", {"fries": 70}),
    ("ate half of the frozen pizza (whole is 350 g)", {"frozen pizza": 175}),
    ("soup 400 g, only ate half", {"soup": 200}),
    ("300 g rice and 200 g chicken, left a quarter", {"rice": 225, "chicken": 150}),
    ("2 sausages (50 g each)", {"sausage": 100}),
    ("heaped tbsp of rice x4", {"rice": 120}),
    ("1/3 of a 400 g tub of hummus", {"hummus": 133}),
    ("half a dozen oysters", {"oyster": 84}),
    ("50 g of the 100 g bar of dark chocolate", {"dark chocolate": 50}),
]


@pytest.mark.parametrize(("text", "expected"), SHARES)
def test_shares_of_what_was_there(table, text, expected):
    assert grams(text, table) == expected


AMOUNTS = [
    ("2 slcies of tost", {"toast": 60}),
    ("2 more slices of toast", {"toast": 60}),
    ("6 inch sub", {"sub": 222}),
    ("10 cm of baguette", {"baguette": 43}),
    ("dal 1 katori", {"dal": 150}),
    ("a 500 kcal pizza", {"pizza": 190}),
    ("2 Scheiben Roggenbrot", {"roggenbrot": 64}),
    ("two slices of wholemeal", {"wholemeal bread": 64}),
    ("two rashers", {"bacon": 40}),
    ("a glass of white", {"white wine": 150}),
    ("a double whisky", {"whisky": 84}),
    ("egg", {"egg": 50}),
    ("eggs", {"egg": 100}),
    ("half a melon", {"melon": 325}),
    ("gazpacho glass", {"gazpacho": 220}),
    ("1 apple (medium)", {"apple": 182}),
]


@pytest.mark.parametrize(("text", "expected"), AMOUNTS)
def test_amounts(table, text, expected):
    assert grams(text, table) == pytest.approx(expected, rel=0.03)


DISHES = [
    ("180 g cooked pasta with tomato sauce", ["cooked pasta", "tomato sauce"]),
    ("chicken curry with rice", ["chicken curry", "rice"]),
    ("fish and chips", ["fish and chips"]),
    ("full english, skipped the hash browns", ["full english"]),
    ("overnight oats: 50 g oats, 1 dl milk", ["oats", "milk"]),
    ("wok: 200g veg (carrots, peppers), 150 g tofu", ["vegetables", "tofu"]),
    ("onigiri x2 (tuna, salmon)", ["onigiri"]),
    ("nibbles (olives, breadsticks x4, peanuts)", ["olive", "breadstick", "peanut"]),
    ("milk (oat), 200 ml", ["oat milk"]),
    ("omlette 3 eggs ham", ["egg", "ham"]),
    ("cheese omelette from 3 eggs", ["cheese", "egg"]),
    ("3 baozi pork", ["baozi pork"]),
    ("rice chicken broccoli", ["rice", "chicken", "broccoli"]),
    ("hot dog with a bun", ["hot dog sausage", "bun"]),
    ("burger without the bun", ["burger patty"]),
    ("sandwich with ham and cheese", ["bread", "ham", "cheese"]),
    ("bacon butty with brown sauce", ["bacon butty", "brown sauce"]),
    ("10 chips, british chips", ["chips"]),
    ("pad thai takeaway", ["pad thai takeaway"]),
    ("risotto ai funghi", ["risotto ai funghi"]),
    ("corn on the cob", ["corn on the cob"]),
    ("beans on toast", ["baked beans", "toast"]),
]


@pytest.mark.parametrize(("text", "expected"), DISHES)
def test_dishes_and_their_parts(table, text, expected):
    assert names(text, table) == expected


DRINKS = [
    ("coffee with oat milk no sugar", {"coffee": 240, "oat milk": 31}),
    ("cup of tea with milk and 2 sugars", {"tea": 237, "milk": 30, "sugar": 8}),
    ("cappuccino with oat milk", {"oat milk cappuccino": 280}),
    ("latte with milk", {"latte": 300}),
    ("chai w/o sugar", {"unsweetened chai": 150}),
    ("flat white, extra shot", {"flat white": 180, "espresso": 35}),
    ("double espresso", {"double espresso": 60}),
    ("G&T", {"g and t": 220}),
    ("black coffee", {"black coffee": 240}),
]


@pytest.mark.parametrize(("text", "expected"), DRINKS)
def test_drinks_with_what_goes_into_them(table, text, expected):
    assert grams(text, table) == pytest.approx(expected, rel=0.05)


BESIDE = [
    ("cheese roll at the terminus", ["cheese roll"]),
    ("at work: ham sandwich and an apple", ["ham sandwich", "apple"]),
    ("croissant from the bakery", ["croissant"]),
    ("bowl of ramen at the noodle place", ["ramen"]),
    ("pizza with my wife and the kids", ["pizza"]),
    ("half a plate of spaghetti carbonara, gave the rest to my son", ["spaghetti carbonara"]),
    ("2 eggs while watching tv", ["egg"]),
    ("1 wheat biscuit (the breakfast kind), 150 ml milk", ["wheat biscuits", "milk"]),
    ("protein bar (20g protein)", ["protein bar"]),
    ("turkey sub no mayo", ["turkey sub"]),
    ("eggs benedict minus the hollandaise", ["eggs benedict"]),
    ("chips, hold the salt", ["chips"]),
    ("coffee, not sure which", ["coffee"]),
    ("porridge, zorblax", ["porridge", "zorblax"]),
]


@pytest.mark.parametrize(("text", "expected"), BESIDE)
def test_what_is_no_food_stays_out(table, text, expected):
    assert names(text, table) == expected


ASSUMED = [
    ("180 g cooked rice", ""),
    ("180 g rice", "cooked"),
    ("50 g boiled egg", ""),
    ("30 g white bread", ""),
    ("150 g chicken shawarma", "counted as meat in flatbread"),
    ("tea with milk", "a little = 30 g"),
]


@pytest.mark.parametrize(("text", "expected"), ASSUMED)
def test_only_what_was_not_said_is_assumed(table, text, expected):
    assert items(text, table)[-1].assumed.split("; ")[-1] == expected


@pytest.mark.parametrize("text", [text for text, _ in SHARES + AMOUNTS + DRINKS])
def test_every_item_has_a_range_around_its_grams(table, text):
    for item in items(text, table):
        assert 0 < item.grams_low <= item.grams <= item.grams_high
        assert item.grams_low < item.grams_high


@pytest.mark.parametrize(("first", "second"), [("60 g oats", "60g dry oats"), ("boiled egg", "poached egg")])
def test_wording_does_not_change_the_food(table, first, second):
    assert items(first, table)[0].food == items(second, table)[0].food
