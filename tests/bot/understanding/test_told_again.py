"""More about a food said before: what was left of it, what kind it was, its sorts, the other half of it."""

import pytest

from bot.model.entries import Meal
from bot.understanding import understand
from tests.bot.understanding.compact import context_at


def meals(text, table):
    understood = understand(text, context_at("22:50", table))
    return [{item.name: item.grams for item in e.items} for e in understood.entries if isinstance(e, Meal)]


@pytest.mark.parametrize(
    ("text", "food", "like"),
    [
        ("steak with mash and peas, left half the mash", "mash", "steak, half a portion of mash and peas"),
        ("kebab and chips, ate half the chips", "chips", "kebab and half a portion of chips"),
        (
            "curry and rice, ate all of the rice and half the curry",
            "curry",
            "half a portion of curry and rice",
        ),
        ("pie and chips, left most of the chips", "chips", "pie and a quarter of a portion of chips"),
        ("naan and dal, split the naan with my sister", "naan", "half a naan and dal"),
        ("crumpets with jam, one and a half", "crumpet", "1.5 crumpets with jam"),
        ("a hot cross bun with butter (1 and a half)", "hot cross bun", "1.5 hot cross buns with butter"),
        ("a plate of carbonara, maybe 300 gr cooked", "carbonara", "300 g carbonara"),
        ("cottage pie 250 g reheated", "cottage pie", "250 g cottage pie"),
        ("cottage pie, reckon 400 g", "cottage pie", "400 g cottage pie"),
        ("1/6 of a 9 inch quiche", "quiche", "1/6 of a quiche"),
        ("half a 12 inch pizza", "pizza", "half a pizza"),
        ("half a victoria sponge between 4", "victoria sponge", "1/8 of a victoria sponge"),
        ("a beer (schooner) and peanuts", "beer", "a schooner of beer and peanuts"),
    ],
)
def test_it_is_the_food_said_before(text, food, like, real_table):
    (said,), (meant,) = meals(text, real_table), meals(like, real_table)
    assert len(said) == len(meant)
    of = [sum(grams for name, grams in m.items() if food in name) for m in (said, meant)]
    assert of[0] == pytest.approx(of[1], rel=0.1)


@pytest.mark.parametrize(
    ("text", "bread"),
    [
        ("2 slices of bread, one with gouda, one with salami", 2),
        ("3 slices of bread, one with ham and two with cheese", 3),
        ("2 slices of bread with cheese, 1 with jam", 3),
    ],
)
def test_the_sorts_of_what_was_counted(text, bread, real_table):
    (plate,) = meals(text, real_table)
    assert plate["bread"] == pytest.approx(bread * meals("a slice of bread", real_table)[0]["bread"])


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("half a flapjack at 10:10 and the other half at 15:30", 0.5),
        ("half a flapjack at 10:10, the rest of it at 15:30", 0.5),
        ("flapjack 11:15, second one 11:40", 1),
        ("flapjack 11:15, another at 14:40", 1),
    ],
)
def test_the_other_part_is_eaten_at_another_time(text, share, real_table):
    one = meals("a flapjack", real_table)[0]["flapjack"]
    assert [m["flapjack"] for m in meals(text, real_table)] == [share * one, share * one]


@pytest.mark.parametrize("text", ["fish an chips", "rice an peas", "ham an peas"])
def test_an_before_a_consonant_is_and(text, real_table):
    assert meals(text, real_table) == meals(text.replace(" an ", " and "), real_table)


def test_what_is_said_with_another_time_is_another_meal(real_table):
    alone = meals("toast", real_table) + meals("half a toast", real_table)
    assert meals("at 8 toast. at 11, half a toast", real_table) == alone
