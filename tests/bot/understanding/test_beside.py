"""Words that mean one food beside some foods and another beside others, against the real food table."""

import pytest

from bot.foodtable import load_table
from tests.bot.understanding.test_meals_said import items


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    return load_table(tmp_path_factory.mktemp("foods"))


CASES = [
    ("jacket potato with beans", "beans", "Baked beans"),
    ("chips and salsa", "chips", "Tortilla chips"),
    ("steak, chips", "chips", "Potato, french fries"),
    ("frijoles, nopales, 2 tortillas", "tortilla", "Tortilla, corn"),
    ("2 tortillas with ham", "tortilla", "Tortilla, flour"),
    ("eggs, grits, one biscuit", "biscuit", "Biscuit"),
    ("tea and one biscuit", "biscuit", "Cookie"),
    ("2 toast with jelly", "jelly", "Jelly"),
    ("jelly and ice cream", "jelly", "Gelatin"),
]


@pytest.mark.parametrize(("text", "word", "row"), CASES)
def test_a_word_by_its_company(table, text, word, row):
    found = [item for item in items(text, table) if word in item.said.lower()]
    assert found[-1].food.startswith(row)
