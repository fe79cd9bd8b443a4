"""The survey's portions: what is shipped, how it is read, and that no default is far from it unexplained."""

import pytest

from bot.foodtable.build_portions import gather, read_unit, unsaid
from bot.foodtable.everyday import read_everyday
from bot.foodtable.far_portions import far_portions
from bot.foodtable.portions import portions_of, unsaid_portion


@pytest.mark.parametrize(
    ("portion", "description", "unit"),
    [
        ("1 cup, cooked", "Rice", ("cup", "")),
        ("1 fl oz (no ice)", "Cola", ("floz", "")),
        ("1 large or thick slice", "Bread", ("slice", "large")),
        ("1 banana", "Banana, raw", ("piece", "")),
        ("1 miniature/bite size", "Muffin", ("piece", "small")),
        ("1 piece, medium pizza", "Pizza", ("slice", "")),
        ('1 large pizza (13-15" diameter)', "Pizza", ("whole", "large")),
        ("1 Maker's cookie", "Cookie", None),
        ("1 oz, raw, yields", "Beef", None),
        ("1 cubic inch", "Beef", None),
        ("Guideline amount per cup of hot cereal", "Milk", None),
    ],
)
def test_portions_are_read_as_units_and_sizes(portion, description, unit):
    assert read_unit(portion, description) == unit


def test_an_amount_not_said_has_the_spread_of_the_sizes():
    portions = [
        ("1 cookie", 30.0),
        ("1 large cookie", 45.0),
        ("1 small cookie", 15.0),
        ("Quantity not specified", 60.0),
    ]
    assert unsaid(portions, gather(portions, "Cookie")) == (60.0, 30.0, 90.0)


def test_the_shipped_table_holds_the_survey():
    banana = unsaid_portion("Banana, raw")
    assert banana is not None
    assert banana.grams == 126
    assert portions_of("Banana, raw")["piece", ""].grams == 126
    assert portions_of("no such food") == {}
    assert unsaid_portion("no such food") is None


def test_every_default_far_from_the_survey_has_its_reason():
    assert [entry.name for entry, _ in far_portions(read_everyday())] == []
