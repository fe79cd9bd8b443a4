"""Years, powers, signs, lengths and names that cannot be meant: a question, and nothing wrong is noted."""

import pytest

from bot.foodtable import FoodTable
from tests.bot.understanding.compact import context_at, read

REFUSED = [
    ("1e9 g rice", "“1e9” is too large a number"),
    ("soup on 3 March 1999 at 12:00", "1999-03-03 is years ago"),
    ("soup on 5 March 2030 at 12:00", "still to come"),
    ("slept for 100 hours", "From when to when did you sleep?"),
    ("call this undo", "How should I call it?"),
    ("call this help", "How should I call it?"),
    ("my rice: -60 g, 21 g carbs", "Every figure must be above zero."),
    ("my rice: 60 g, -21 g carbs", "Every figure must be above zero."),
]


@pytest.mark.parametrize(("text", "asks"), REFUSED)
def test_what_cannot_be_is_asked_about(table: FoodTable, text: str, asks: str) -> None:
    assert asks in read(text, context_at("20:00", table))


def test_a_year_that_can_be_is_taken(table: FoodTable) -> None:
    said = read("soup on 28 February 2026 at 12:00", context_at("20:00", table))
    assert said == "lunch 28.12:00: soup 300~"
    assert "soup 1,999" not in read("1 March 2000 g soup", context_at("20:00", table))


def test_figures_in_a_list_of_lines_have_bullets_and_no_signs(table: FoodTable) -> None:
    listed = read("my bar:\n-60 g\n-21 g carbs\n-15 g protein\n-9 g fat", context_at("20:00", table))
    assert "above zero" not in listed


@pytest.mark.parametrize(
    "text",
    ["summary of the last 10 years", "best and worst of the last 10 years", "summary of the last 99999 days"],
)
def test_a_long_span_is_one(table: FoodTable, text: str) -> None:
    understood = read(text, context_at("20:00", table))
    assert understood.startswith(("day", "best_worst"))
