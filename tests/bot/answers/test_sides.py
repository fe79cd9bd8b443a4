"""What “compare …” names, and which meals are of each side."""

import pytest

from bot.answers.sides import Side, find_sides, is_of, names, spell_side
from bot.model.entries import Extra, Item, Meal

WALK = Side("porridge", "a walk"), Side("porridge", "a walk", present=False)


def meal(*foods: str, said: str = "", extras: tuple[str, ...] = (), slot: str = "breakfast") -> Meal:
    items = tuple(Item(food, food, food, 100, 90, 110, True, 1.0) for food in foods)
    return Meal(None, slot, items, tuple(Extra(name) for name in extras), said=said)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "sides"),
    [
        ("compare porridge with and without a walk", WALK),
        ("Compare my porridge with and without a walk, please?", WALK),
        ("compare porridge with a walk and without", WALK),
        ("porridge with a walk against porridge without", WALK),
        ("compare porridge with and without a walk in the last 30 days", WALK),
        ("compare porridge with a walk", WALK),
        ("compare porridge with a walk and toast", (Side("porridge"), Side("walk and toast"))),
        ("compare porridge and toast", (Side("porridge"), Side("toast"))),
        ("compare porridge with toast", (Side("porridge"), Side("toast"))),
        ("white toast vs rye toast", (Side("white toast"), Side("rye toast"))),
        ("which is better, pasta or rice?", (Side("pasta"), Side("rice"))),
        ("pasta or rice, which is better for me?", (Side("pasta"), Side("rice"))),
        ("what one's worse for me, pasta or rice", (Side("pasta"), Side("rice"))),
        ("is toast better than porridge?", (Side("toast"), Side("porridge"))),
        ("compare my breakfasts and dinners", (Side("breakfasts"), Side("dinners"))),
        ("compare rice with and without vinegar", (Side("rice", "vinegar"), Side("rice", "vinegar", False))),
        ("compare toast without butter and porridge", (Side("toast", "butter", False), Side("porridge"))),
    ],
)
def test_sides(said: str, sides: tuple[Side, Side]) -> None:
    assert find_sides(said)[0] == sides


@pytest.mark.parametrize(
    "said", ["", "compare", "compare and", "trial status", "with and without", "a" * 500]
)
def test_no_sides(said: str) -> None:
    assert find_sides(said) == []


def test_two_places_to_part_are_both_offered() -> None:
    pairs = find_sides("compare ham and eggs and toast")
    assert (Side("ham"), Side("eggs and toast")) in pairs
    assert (Side("ham and eggs"), Side("toast")) in pairs


def test_a_slip_in_a_side_is_put_right_by_what_was_noted() -> None:
    noted = [meal("oats", "milk", said="porridge with 60 g oats"), meal("boiled potato")]
    for typed, meant in (
        ("poridge", "porridge"),
        ("boiled potatos", "boiled potatos"),
        ("potatoes", "potatoes"),
        ("pasta", "pasta"),
        ("oast", "oast"),
    ):
        assert spell_side(Side(typed, "a walk"), noted) == Side(meant, "a walk")


def test_a_walk_around_the_meal_decides_the_side() -> None:
    with_walk, without = WALK
    porridge = meal("oats", "milk", said="porridge with 60 g oats")
    for moves, walked in (
        ((), False),
        (((10.0, 25.0, "walk"),), True),
        (((-20.0, 15.0, "walking"),), True),
        (((150.0, 25.0, "walk"),), False),
        (((10.0, 25.0, "cycling"),), False),
    ):
        assert is_of(with_walk, porridge, moves) is walked
        assert is_of(without, porridge, moves) is not walked
    assert is_of(Side("porridge", "exercise"), porridge, ((10.0, 25.0, "cycling"),))
    assert not is_of(with_walk, meal("rice"), ((10.0, 25.0, "walk"),))


def test_extras_and_foods_decide_it_too() -> None:
    sour = meal("cooked rice", extras=("vinegar",))
    assert is_of(Side("rice", "vinegar"), sour, ())
    assert not is_of(Side("rice", "vinegar", present=False), sour, ())
    assert is_of(Side("rice", "butter", present=False), sour, ())


def test_names_of_a_meal() -> None:
    plate = meal("boiled egg", "rye toast", slot="breakfast")
    for words in ("eggs", "toast", "rye toast", "breakfasts", "eggs and toast"):
        assert names(words, plate), words
    for words in ("white toast", "dinner", "", "the"):
        assert not names(words, plate), words
    assert names("potatoes", meal("boiled potato"))
    assert names("berries", meal("berry"))


def test_a_side_is_labelled_in_the_persons_words() -> None:
    assert [side.label for side in WALK] == ["porridge with a walk", "porridge without a walk"]
