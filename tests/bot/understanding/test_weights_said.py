"""How wide an amount's range is: 5 % when weighed, 10 % when measured, as the table says when counted."""

import pytest

from bot.understanding import understand
from tests.bot.understanding.compact import context_at


@pytest.mark.parametrize(
    ("text", "grams", "low", "high", "stated"),
    [
        ("200 g rice", 200, 190, 210, True),
        ("about 200 g rice", 200, 170, 230, True),
        ("100-150 g rice", 125, 100, 150, True),
        ("10 oz rice", 283.495, 269.32, 297.67, True),
        ("200 ml milk", 206, 185.4, 226.6, True),
        ("1 pint milk", 585.04, 526.5, 643.5, True),  # an imperial pint, 568 ml, at 1.03 g/ml
        ("2 slices rye toast", 60, 50, 80, True),  # 30 (25-40) each
        ("2-3 slices rye toast", 75, 50, 120, True),
        ("half a banana", 60, 50, 70, True),  # 120 (100-140)
        ("a banana", 120, 100, 140, True),
        ("some rice", 180, 100, 300, False),  # the usual portion
        ("rice", 180, 100, 300, False),
        ("a rice", 180, 100, 300, False),
        ("2 rice", 360, 200, 600, True),  # rice has no pieces: portions
        ("a bit of rice", 90, 50, 150, False),
    ],
)
def test_grams_and_their_range(table, text, grams, low, high, stated):
    (meal,) = understand(text, context_at("08:00", table)).entries
    (item,) = meal.items
    assert item.grams == pytest.approx(grams, rel=0.002)
    assert (item.grams_low, item.grams_high) == pytest.approx((low, high), rel=0.002)
    assert item.stated is stated


@pytest.mark.parametrize(
    ("text", "assumed"),
    [
        ("200 g rice", ""),
        ("2 slices rye toast", "1 slice = 30 g"),
        ("2 rye bread slices", "1 slice = 35 g"),
        ("2 small potatoes", "1 small potato = 100 g"),
        ("some rice", "1 portion = 180 g"),
    ],
)
def test_what_was_assumed_is_short(table, text, assumed):
    (meal,) = understand(text, context_at("08:00", table)).entries
    assert meal.items[0].assumed == assumed


def test_unknown_food_is_kept_by_name_without_nutrients(table):
    (meal,) = understand("150 ml zorblax and 2 blobs of flurb", context_at("08:00", table)).entries
    measured, counted = meal.items
    assert (measured.name, measured.food, measured.nutrients, measured.sure) == ("zorblax", None, None, 0)
    assert (measured.grams, measured.stated) == (150, True)
    assert (counted.name, counted.grams, counted.stated) == ("flurb", 0, True)
    assert meal.nutrients.carbs_g is None


@pytest.mark.parametrize("text", ["-50 g rice", "0 g rice", "50 kg rice", "-2 eggs", "900 slices rye toast"])
def test_impossible_amount_is_asked_about_and_not_kept(table, text):
    understood = understand(text, context_at("08:00", table))
    assert understood.entries == ()
    assert len(understood.asks) == 1
    assert "how much was it?" in understood.asks[0]
