"""Names of foods that hold a word which notes read otherwise are read as one name."""

import pytest

from bot.model.entries import Meal
from bot.understanding import understand
from tests.bot.understanding.compact import context_at


@pytest.mark.parametrize(
    "name",
    [
        "toad in the hole",
        "half and half",
        "tres leches",
        "pollo a la brasa",
        "low alcohol lager",
        "no added sugar squash",
        "huevos a la mexicana",
        "pigs in a blanket",
        "sunday roast",
    ],
)
def test_a_name_is_not_torn(name, real_table) -> None:
    entries = understand(name, context_at("13:00", table=real_table)).entries
    meal = next(e for e in entries if isinstance(e, Meal))
    expected = real_table.match(name)
    assert expected is not None
    assert [item.food for item in meal.items] == [expected.food.description]
