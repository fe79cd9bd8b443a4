"""Numbers in words, as dictation writes them; a time in a sentence of its own; foods told twice."""

import pytest

from tests.bot.understanding.compact import context_at, read


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("eighty grams of rice", "dinner 19:30~: rice 80"),
        ("two hundred and fifty ml milk", "drink 19:30~: milk 257.5"),
        ("a hundred and twenty grams of rice", "dinner 19:30~: rice 120"),
        ("three hundred g soup", "dinner 19:30~: soup 300"),
        ("walked seventy-five minutes", "light walk 75 min 18:15~"),
        ("walked one hundred and twenty minutes", "light walk 120 min 17:30~"),
        ("one hundred thirty eight", "? Did you mean 138 mg/dL? Then say “138 mg/dL”."),
        ("a glass of one hundred percent apple juice", "drink 19:30~: 100% apple juice 209.7"),
        ("seventy percent of a 400 g pizza", "dinner 19:30~: pizza 280"),
        ("toast at half past seven", "dinner 19:30: toast 60~"),
        ("twenty five past seven toast", "dinner 19:25: toast 60~"),
    ],
)
def test_a_number_in_words_is_one_number(real_table, text, expected):
    assert read(text, context_at("19:30", real_table)) == expected


@pytest.mark.parametrize("head", ["4pm.", "Ate at 4.", "Canteen at 4pm.", "Meal at 4pm."])
def test_a_time_by_itself_is_of_the_food_behind_it(real_table, head):
    assert read(f"{head} Rice", context_at("19:30", real_table)) == "snack 16:00: rice 180~"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a muesli with yogurt (60 g muesli, 150 g natural yogurt)", "muesli 60, yogurt 150"),
        ("toast, 2 slices wholemeal toast", "toast 60"),
        ("milk, 100 ml coconut milk", "milk 200~, coconut milk 96"),
        ("dal rice, 1 cup dal and 2 cups rice", "dal 200, rice 316"),
        ("rajma chawal, 1 cup rice and 1 cup rajma", "rice 158, rajma 220"),
        ("chicken soup with 100 g chicken", "chicken soup 300~, chicken 100"),
    ],
)
def test_what_is_told_again_with_its_weight_is_eaten_once(real_table, text, expected):
    assert read(text, context_at("12:30", real_table)).partition(": ")[2] == expected
