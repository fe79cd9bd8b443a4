"""A food named in a change: the plate that holds it by that very name is meant; on no plate, it is said."""

import pytest

from bot.model.entries import Meal
from tests.talk import Talk, talking

KINDS = [("toast", "bread", "scratch the bread"), ("bread", "toast", "remove the toast")]


def plates(talk: Talk) -> list[list[str]]:
    return [[i.name for i in one.entry.items] for one in talk.meals() if isinstance(one.entry, Meal)]


@pytest.mark.parametrize(("first", "second", "words"), KINDS)
def test_a_plate_that_holds_the_food_by_name_is_meant(first: str, second: str, words: str) -> None:
    with talking() as talk:
        talk.at("8:00").say(f"breakfast: {first} 50 g, cheese 20 g")
        talk.at("12:30").say(f"lunch: {second} 60 g, soup 300 g")
        assert talk.at("13:00").say(words).startswith(f"Lunch 12:30: {second} removed")
        assert plates(talk) == [[first, "cheese"], ["soup"]]


@pytest.mark.parametrize(
    "words", ["the cream was yogurt", "the juice was water", "the cake was chocolate cake"]
)
def test_a_food_that_is_on_no_plate_is_said_to_be_missing(words: str) -> None:
    with talking() as talk:
        talk.at("12:30").say("lunch: bread 60 g, soup 300 g")
        said = talk.at("13:00").say(words)
        assert said.startswith(f"I find no {words.split()[1]} in the last days that I could change.")
        assert len(plates(talk)) == 1
