"""Measures and dishes of many kitchens as people mix them into English, against the real food table."""

import pytest

from bot.foodtable import load_table
from bot.understanding import understand
from tests.bot.understanding.compact import context_at
from tests.bot.understanding.test_meals_said import grams, items, names


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    return load_table(tmp_path_factory.mktemp("foods"))


MEASURES = [
    ("moi moi, 2 wraps", "moi moi", 320),
    ("banku two balls", "banku", 500),
    ("kimbap 1 roll", "kimbap", 230),
    ("su böreği 1 dilim", "su boregi", 150),
    ("3 szt pierogi", "pierogi", 105),
    ("horchata 1 vaso", "horchata", 300),
    ("rice 2 serving spoons", "rice", 160),
    ("rice 2 table spoons", "rice", 40),
    ("rice two spoons", "rice", 60),
    ("honey 1 spoon", "honey", 14),
    ("mac and cheese about a cup & a half", "mac and cheese", 297),
    ("varenyky with potato 10 pcs", "varenyky", 300),
    ("2 slcs toast", "toast", 60),
    ("potatoes (200 g boiled)", "boiled potato", 200),
    ("fish pie (ready meal, 400 g)", "fish pie", 400),
    ("half a large sweet potato fries", "sweet potato fries", 84),
    ("milk 1/2 lt", "milk", 515),
    ("pizza 3 fatias", "pizza", 300),
    ("rye bread 2 skivor", "rye bread", 64),
    ("rice 2 colheres", "rice", 60),
    ("chapati mbili", "chapati", 84),
    ("plov shared by 3", "plov", 117),
    ("bingsu shared by 2", "bingsu", 140),
]


@pytest.mark.parametrize(("text", "name", "weight"), MEASURES)
def test_measures(table, text, name, weight):
    (item,) = items(text, table)
    assert (item.name, round(item.grams)) == (name, weight)


ONE_FOOD = [
    ("daifuku mochi", 1),
    ("mercimek soup", 1),
    ("bulgur pilav", 1),
    ("fried plantain (dodo)", 1),
    ("okonomiyaki (pork)", 1),
    ("quesadilla flour tortilla", 1),
    ("tofu in tomato sauce", 2),
    ("bhindi sabzi", 1),
    ("rajma chawal (1 cup rice, 3/4 cup rajma)", 2),
    ("adobo (2 chicken thighs)", 1),
    ("2 kanapki: rye bread, ham", 2),
    ("2 eggs beans fried slice", 3),
    ("1 tamal de rajas y atole", 2),
    ("falukorv med makaroner", 2),
    ("sill och potatis", 2),
    ("ugali na sukuma wiki", 2),
    ("snitel cu piure si muraturi", 3),
    ("feijoada com arroz e couve", 3),
    ("sinigang na baboy", 1),
    ("kofte ile pilav", 2),
]


@pytest.mark.parametrize(("text", "count"), ONE_FOOD)
def test_dishes_named_whole_or_taken_apart(table, text, count):
    assert len(items(text, table)) == count


def test_an_amount_behind_a_parenthesis_is_of_the_dish(table):
    (item,) = items("fried plantain (dodo) 5 slices", table)
    assert item.stated
    assert item.grams == pytest.approx(60)


def test_each_counts_for_every_piece(table):
    assert grams("2 rice cakes with 1 tbsp jam each", table)["jam"] == 40


def test_a_dish_said_to_be_with_something_keeps_its_slice(table):
    assert grams("quiche with spinach (1 slice)", table)["spinach"] == grams("spinach", table)["spinach"]


LABELS = [
    ("Handover snack - cheese pasty", ["cheese pasty"], "snack"),
    ("meal 1: 6 egg whites", ["egg white"], None),
    ("for my tea I had a boiled egg", ["boiled egg"], "dinner"),
    ("tea tonight was pizza", ["pizza"], "dinner"),
    ("iftar - 3 dates", ["date"], "dinner"),
    ("full english: 2 sausages, 2 eggs", ["sausage", "egg"], None),
    ("burrito bowl -> rice, black beans", ["rice", "black beans"], None),
    ("office cake - slice of carrot cake", ["carrot cake"], None),
]


@pytest.mark.parametrize(("text", "expected", "slot"), LABELS)
def test_what_only_labels_a_meal_is_no_food(table, text, expected, slot):
    assert names(text, table) == expected
    (meal,) = understand(text, context_at("13:00", table)).entries
    assert slot is None or meal.slot == slot


def test_who_made_it_is_no_food(table):
    assert names("my daughter brought round a beef stew", table) == ["beef stew"]


def test_words_that_are_alike_only_without_their_gap(table):
    assert names("toast with butter on one and jam on the other", table)[-1] == "jam"


def test_sugars_in_tea_teach_no_label(table):
    assert names("builders breakfast: 2 sausages 2 eggs 1 tea 2 sugars", table)[-1] == "sugar"


@pytest.mark.parametrize(
    "word",
    [
        "dodo",
        "ewedu",
        "waakye",
        "haleem",
        "racuchy",
        "pytt i panna",
        "karnıyarık",
        "kırmızı mercimek çorbası",
    ],
)
def test_dishes_are_known_with_nutrients(table, word):
    (item,) = items(f"lunch: {word}", table)
    assert item.food is not None
    assert item.nutrients.carbs_g is not None


def test_bread_taken_out_of_a_kebab(table):
    (item,) = items("a doner kebab, ate the lot except the pitta", table)
    assert item.nutrients.carbs_g < 20


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("orange energy drink", ["orange energy drink"]),
        ("matcha latte almond milk", ["matcha latte almond milk"]),
        ("2 egg and bacon rolls", ["egg and bacon roll"]),
        ("breakfast burrito - eggs, potato, cheese", ["eggs", "potato", "cheese"]),
    ],
)
def test_names_that_hold_other_names(table, text, expected):
    assert [item.said if len(expected) > 1 else item.name for item in items(text, table)] == expected


def test_only_what_was_not_finished_is_scaled(table):
    whole = grams("pie, chips", table)
    left = grams("pie, chips. didn't finish the chips (left about a third)", table)
    assert left["chips"] == pytest.approx(whole["chips"] * 2 / 3, abs=1)
    assert left["pie"] == whole["pie"]


def test_what_was_shared_afterwards(table):
    assert grams("a large pizza shared with my wife, salad", table)["pizza"] == 275


def test_many_of_a_big_thing_are_the_small_kind(table):
    assert grams("15 pretzels", table)["pretzel"] < 100


def test_pieces_of_a_dish_are_no_helpings(table):
    assert grams("sweet and sour pork 5 pcs", table)["sweet and sour pork"] == 90


def test_circa_is_no_cup(table):
    assert grams("ribeye c.280g", table)["ribeye"] == 280


@pytest.mark.parametrize(
    "text", ["cevapi 10 in lepinja", "cevapi 10 pcs in lepinja", "10 cevapi in a lepinja"]
)
def test_a_number_before_what_it_is_in_is_of_the_food_before(table, text):
    weights = grams(text, table)
    assert (weights["cevapi"], weights["lepinja"]) == (250, 120)
