"""Of what kind a noted food was, what it went without, and what was eaten first."""

import pytest

from bot.understanding import understand
from tests.bot.understanding.compact import context_at

KINDS = [
    ("pizza and a beer", "the beer was alcohol free", ["pizza", "alcohol free beer"]),
    ("2 slices bread and jam", "bread was wholemeal", ["wholemeal bread", "jam"]),
    ("glass of cola and crisps", "cola was diet", ["diet cola", "crisps"]),
    ("eggs and toast", "eggs were fried", ["fried egg", "toast"]),
    ("soup and bread", "the soup was lentil", ["lentil soup", "bread"]),
    ("burger and fries", "the burger was veggie", ["veggie burger", "fries"]),
    ("coffee with milk", "milk was oat", ["coffee", "oat milk"]),
    ("soup and a roll", "the roll was wholemeal, not white", ["soup", "wholemeal roll"]),
]
ON_BREAD = [
    ("ham sandwich and crisps", "brown bread, not white", ["ham sandwich on brown bread", "crisps"]),
    ("bacon roll", "the roll was wholemeal", ["wholemeal bacon roll"]),
    ("tuna sandwich", "the sandwich was egg", ["egg sandwich"]),
]
WITHOUT = [
    ("tea with sugar", "the tea had no sugar", ["tea"]),
    ("tea with sugar", "no sugar in the tea", ["tea"]),
    ("toast with butter and jam", "no butter on the toast", ["toast", "jam"]),
]
ORDERS = [
    ("eggs on toast, orange juice", "juice was before the toast", ["orange juice", "egg", "toast"]),
    ("steak, chips and salad", "had the salad first", ["salad", "steak", "chips"]),
    ("steak and salad", "ate the steak last", ["salad", "steak"]),
    ("steak, chips and salad", "chips came after the salad", ["salad", "steak", "chips"]),
    ("steak, chips and salad", "steak and chips were after the salad", ["salad", "steak", "chips"]),
    ("salad, steak and chips", "the steak was before the chips", ["steak", "salad", "chips"]),
]


def plate(table, first: str, then: str):
    """Return the meal as it is after the second message, None where it is not changed."""
    noted = understand(first, context_at("13:00", table)).entries[0]
    entries = understand(then, context_at("13:05", table, last=noted)).entries
    return getattr(entries[0], "after", None) if len(entries) == 1 else None


@pytest.mark.parametrize(("first", "then", "names"), KINDS + ON_BREAD + WITHOUT)
def test_another_kind_takes_the_place_and_what_was_not_there_goes(real_table, first, then, names) -> None:
    assert [item.name for item in plate(real_table, first, then).items] == names


def test_an_amount_is_of_what_was_measured_so(real_table) -> None:
    meal = plate(real_table, "2 cups rice, fried chicken", "1 cup only")
    assert [round(item.grams) for item in meal.items] == [158, 150]


def test_a_drink_with_something_to_eat_is_called_by_its_hour(real_table) -> None:
    assert plate(real_table, "can of cola", "n a chocolate bar").slot != "drink"


@pytest.mark.parametrize(("first", "then", "names"), ORDERS)
def test_what_was_eaten_first_is_kept(real_table, first, then, names) -> None:
    meal = plate(real_table, first, then)
    assert [item.name for item in meal.items] == names
    assert meal.eaten_in_order


@pytest.mark.parametrize(
    ("first", "then"),
    [
        ("tea", "the tea had no sugar"),
        ("scone and tea", "no butter on the scone btw"),
        ("soup and bread", "no salt in the soup"),
        ("toast and tea", "there was no jam on the toast"),
        ("toast and tea", "with no jam on it"),
    ],
)
def test_what_was_never_noted_is_neither_added_nor_takes_anything_off(real_table, first, then) -> None:
    noted = understand(first, context_at("13:00", real_table)).entries[0]
    meal = plate(real_table, first, then)
    assert meal is None or meal.items == noted.items


def test_what_came_last_of_three_does_not_say_which_came_first(real_table) -> None:
    noted = understand("salad, steak and chips", context_at("13:00", real_table)).entries[0]
    assert plate(real_table, "salad, steak and chips", "ate the chips last") in (None, noted)
