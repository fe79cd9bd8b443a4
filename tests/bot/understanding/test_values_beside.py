"""Readings beside other things, in parentheses, counted or named by a meal; read through by eye."""

import pytest

from bot.foodtable import FoodTable
from tests.bot.understanding.compact import context_at, read

READINGS = [
    ("meter 5.8 sensor 6.4", "5.80 20:00~ | 6.40 20:00~"),
    ("walked 30 min sensor 5.9", "light walk 30 min 19:30~ | 5.90 20:00~"),
    ("7.2 (30 min), 8.0 (60 min), 6.1 (120 min)", "7.20 18:30 | 8.00 19:00 | 6.10 20:00"),
    ("took 2 readings: 5.5 and 5.7", "5.50 20:00~ | 5.70 20:00~"),
    ("my glucose 5.4", "5.40 20:00~"),
    ("5.1 before breakfast", "5.10 08:00~slot"),
]


@pytest.mark.parametrize(("text", "expected"), READINGS)
def test_a_value_is_found_beside_other_things(table: FoodTable, text: str, expected: str) -> None:
    assert read(text, context_at("20:00", table)) == expected


def test_before_a_meal_is_now_at_that_meals_hours(table: FoodTable) -> None:
    assert read("5.4 before dinner", context_at("18:30", table)) == "5.40 18:30~"
