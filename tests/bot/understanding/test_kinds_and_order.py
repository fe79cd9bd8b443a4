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
WITHOUT = [
    ("tea with sugar", "the tea had no sugar", ["tea"]),
    ("tea with sugar", "no sugar in the tea", ["tea"]),
    ("toast with butter and jam", "no butter on the toast", ["toast", "jam"]),
]
ORDERS = [
    ("eggs on toast, orange juice", "juice was before the toast", ["egg", "orange juice", "toast"]),
    ("steak, chips and salad", "had the salad first", ["salad", "steak", "chips"]),
    ("steak, chips and salad", "ate the chips last", ["steak", "salad", "chips"]),
    ("steak, chips and salad", "chips came after the salad", ["steak", "salad", "chips"]),
    ("steak, chips and salad", "steak and chips were after the salad", ["salad", "steak", "chips"]),
]


def plate(table, first: str, then: str):
    """Return the meal as it is after the second message, None where it is not changed."""
    noted = understand(first, context_at("13:00", table)).entries[0]
    entries = understand(then, context_at("13:05", table, last=noted)).entries
    return entries[0].after if len(entries) == 1 else None


@pytest.mark.parametrize(("first", "then", "names"), KINDS + WITHOUT)
def test_another_kind_takes_the_place_and_what_was_not_there_goes(real_table, first, then, names) -> None:
    assert [item.name for item in plate(real_table, first, then).items] == names


@pytest.mark.parametrize(("first", "then", "names"), ORDERS)
def test_what_was_eaten_first_is_kept(real_table, first, then, names) -> None:
    meal = plate(real_table, first, then)
    assert [item.name for item in meal.items] == names
    assert meal.eaten_in_order


def test_what_was_never_noted_takes_nothing_off(real_table) -> None:
    """“Had no sugar” of a tea without sugar is no reason to take out the tea."""
    assert plate(real_table, "tea", "the tea had no sugar") is None
