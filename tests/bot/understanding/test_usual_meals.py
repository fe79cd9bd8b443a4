"""What leans on a meal that the note does not tell of: timed by the last one, or by when it usually is."""

from datetime import timedelta

import pytest

from bot.foodtable import FoodTable
from bot.model.entries import Meal
from bot.understanding import understand
from tests.bot.understanding.compact import context_at, read

LEANING = [
    ("19:40", "walked 20 min after lunch yesterday", "light walk 20 min 01.12:45~slot"),
    ("19:40", "walked 20 min yesterday after lunch", "light walk 20 min 01.12:45~slot"),
    ("19:40", "yesterday walked 20 min after dinner", "light walk 20 min 01.19:15~slot"),
    ("19:40", "20 min walk after breakfast", "light walk 20 min 08:15~slot"),
    ("19:40", "ran 30 min before dinner on Saturday", "moderate run 30 min 28.18:30~slot"),
    ("13:10", "walked 20 min after lunch", "light walk 20 min 12:50~"),
    ("12:00", "walked 20 min before dinner", "light walk 20 min 11:40~"),
    ("19:40", "yesterday after lunch a coffee", "drink 01.12:45~slot: coffee 200~"),
]


@pytest.mark.parametrize(("now", "text", "expected"), LEANING)
def test_by_when_the_meal_usually_is(table: FoodTable, now: str, text: str, expected: str) -> None:
    assert read(text, context_at(now, table)) == expected


@pytest.mark.parametrize(
    "text", ["walked 20 min after lunch yesterday", "yesterday a 20 min walk after lunch"]
)
def test_by_that_meal_where_it_was_noted_last(table: FoodTable, text: str) -> None:
    (lunch,) = understand("yesterday lunch 14:00: soup", context_at("19:40", table)).entries
    assert isinstance(lunch, Meal)
    (walk,) = understand(text, context_at("19:40", table, last=lunch)).entries
    assert walk.at == lunch.at + timedelta(minutes=15)


def test_not_by_a_meal_of_another_day(table: FoodTable) -> None:
    (lunch,) = understand("lunch 14:00: soup", context_at("15:00", table)).entries
    text = "walked 20 min after lunch yesterday"
    assert read(text, context_at("19:40", table, last=lunch)) == "light walk 20 min 01.12:45~slot"
