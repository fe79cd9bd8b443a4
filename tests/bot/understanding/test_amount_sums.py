"""Amounts are arithmetic: numbers and fractions, some of so many, parts of a whole that was weighed."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from bot.model.entries import Meal
from bot.understanding import Context, understand

NOW = datetime(2026, 3, 2, 12, 30, tzinfo=ZoneInfo("UTC"))


def items(text, table):
    entries = understand(text, Context(now=NOW, zone=ZoneInfo("UTC"), table=table)).entries
    assert all(isinstance(entry, Meal) for entry in entries)
    return [item for entry in entries for item in entry.items]


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("quiche, two of eight wedges, 720 g in all", 180),
        ("two of eight wedges of cheese, 720 g in all", 180),
        ("half the pack of biscuits, 200g pack", 100),
        ("half of a 400 g tin of beans", 200),
        ("a third of the 450 g lasagne", 150),
        ("two tubs of yogurt, 125 g each", 250),
        ("a 250g steak, left a third", 167),
        ("3 x 20 g chocolate", 60),
        ("3 bites of cheesecake", 45),
    ],
)
def test_parts_of_what_was_weighed(text, grams, real_table):
    (item,) = items(text, real_table)
    assert item.stated
    assert item.grams == pytest.approx(grams, rel=0.03)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("two and half cups of rice", "2.5 cups of rice"),
        ("two and a half ladles of soup", "2.5 ladles of soup"),
        ("soup, two and a half ladles", "2.5 ladles of soup"),
        ("five eighths of a pizza", "0.625 of a pizza"),
        ("three of the six dumplings", "3 dumplings"),
        ("5 of 12 nuggets", "5 nuggets"),
        ("pizza, 8 slices, had 3", "3 slices of pizza"),
        ("the full tub of hummus", "a tub of hummus"),
        ("the whole bag of crisps", "a bag of crisps"),
        ("20 fluid ounces of milk", "20 fl oz milk"),
    ],
)
def test_said_otherwise_it_is_as_much(text, same, real_table):
    (item,), (other,) = items(text, real_table), items(same, real_table)
    assert item.food == other.food
    assert item.grams == pytest.approx(other.grams, rel=0.01)


@pytest.mark.parametrize(
    ("text", "count"), [("toast and half an avocado", 2), ("my fifth coffee", 1), ("2 of 250 g steaks", 1)]
)
def test_what_is_no_sum_is_none(text, count, real_table):
    assert len(items(text, real_table)) == count


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("minestrone with beans, pasta, courgette", ["minestrone"]),
        ("ploughman's: cheese, a roll, pickle", ["cheese", "roll", "pickles"]),
        ("chicken curry with rice", ["chicken curry", "rice"]),
        ("toastie, ham n cheese n onion", ["toastie"]),
        ("fish pie, peas", ["fish pie", "peas"]),
        ("300 g minestrone with beans", ["minestrone"]),
        ("20 fluid oz acai smoothie", ["acai smoothie"]),
        ("8 ranch wings", ["ranch wings"]),
    ],
)
def test_a_dish_and_its_parts_are_one_plate(text, names, real_table):
    found = [item.name.removesuffix("s") for item in items(text, real_table)]
    assert found == [name.removesuffix("s") for name in names]


def test_no_figure_has_the_noise_of_reckoning(real_table):
    (item,) = items("7 oz rice", real_table)
    held = item.nutrients
    figures = [item.grams, item.grams_low, item.grams_high, held.carbs_g, held.energy_kcal, held.fat_g]
    assert all(len(f"{figure}".partition(".")[2]) <= 6 for figure in figures)
