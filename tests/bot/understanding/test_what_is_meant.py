"""What a change means: which kind of a dish, whose share, which of two; what others eat is no food."""

from datetime import timedelta

import pytest

from bot.model.entries import Activity, Sleep
from bot.understanding import understand
from tests.bot.understanding.compact import context_at

SWAPPED = [
    ("beef burrito and a coke", "wait it was chicken", ["chicken burrito", "coke"]),
    ("banana and a flat white", "oh the flat white was soy btw", ["banana", "soy flat white"]),
    ("lentil soup 300 g", "no it was tomato", ["tomato soup"]),
    ("tuna sandwich and an apple", "sorry the sandwich was egg", ["egg sandwich", "apple"]),
]
SHARES = [
    ("my husband ate a third", 2 / 3),
    ("I only ate a third", 1 / 3),
    ("split three ways", 1 / 3),
    ("shared with my wife and son", 1 / 3),
    ("I shared it with my daughter, half each", 1 / 2),
]
NOT_MINE = [
    "The conductor ate four sausages",
    "my brother had a whole pizza to himself",
    "would've had the steak pie but the dog got it",
    "going to the curry house at 8, probably a korma",
    "could murder a burger right now",
]


def changed(table, first: str, then: str):
    """Return the entry as it is after the second message; both must be understood as one entry."""
    noted = understand(first, context_at("13:00", table)).entries[0]
    (correction,) = understand(then, context_at("13:05", table, last=noted)).entries
    return correction.after


@pytest.mark.parametrize(("first", "then", "names"), SWAPPED)
def test_a_word_makes_another_dish_of_the_kind(real_table, first, then, names) -> None:
    assert [item.name for item in changed(real_table, first, then).items] == names


def test_what_comes_in_place_of_a_guess_has_its_own_portion(real_table) -> None:
    meal = changed(real_table, "cheese toastie and crisps", "not crisps, apple")
    assert meal.items[1].name == "apple"
    assert meal.items[1].grams > 100


@pytest.mark.parametrize(("said", "share"), SHARES)
def test_the_share_of_others_is_not_ones_own(real_table, said, share) -> None:
    meal = changed(real_table, "pizza 400 g", said)
    assert meal.items[0].grams == pytest.approx(400 * share, rel=0.01)


def test_a_sleep_ends_when_it_is_said_to(real_table) -> None:
    noted = understand("slept 3:00 to 10:00", context_at("13:00", real_table)).entries[0]
    night = changed(real_table, "slept 3:00 to 10:00", "till 11 i mean")
    assert isinstance(noted, Sleep)
    assert isinstance(night, Sleep)
    assert noted.to_at is not None
    assert night.to_at == noted.to_at + timedelta(hours=1)


def test_twice_behind_a_length_doubles_nothing(real_table) -> None:
    walk = understand("30 min walk", context_at("13:00", real_table)).entries[0]
    assert isinstance(walk, Activity)
    found = understand("45 min, we went round twice", context_at("13:05", real_table, last=walk))
    assert all(getattr(entry.after, "minutes", 45) == 45 for entry in found.entries)


@pytest.mark.parametrize("said", NOT_MINE)
def test_what_others_eat_or_one_only_hopes_for_is_not_noted(real_table, said) -> None:
    assert not [e for e in understand(said, context_at("13:00", real_table)).entries if hasattr(e, "items")]


REMARKS = ["the cat ate my tuna lol", "the kids are eating fish fingers", "might have soup later"]


@pytest.mark.parametrize("said", REMARKS)
def test_a_remark_over_a_plate_changes_nothing_by_itself(real_table, said) -> None:
    noted = understand("burger", context_at("13:00", real_table)).entries[0]
    entries = understand(said, context_at("13:05", real_table, last=noted)).entries
    assert not [e for e in entries if hasattr(e, "after") or hasattr(e, "items")]
