"""A correction that names a meal changes that one, through the whole bot."""

from collections.abc import Iterator

import pytest

from bot.model.entries import Meal
from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def names_of(talk: Talk) -> list[list[str]]:
    meals = [logged.entry for logged in sorted(talk.meals(), key=lambda logged: logged.id)]
    return [[item.name for item in meal.items] for meal in meals if isinstance(meal, Meal)]


def test_the_named_meal_is_changed_and_not_the_last(talk: Talk) -> None:
    talk.at("21:00", days=1)
    talk.say("lunch at 12: cheese and crackers")
    talk.say("dinner at 19: soup")
    talk.say("remove the cheese from lunch")
    assert names_of(talk) == [["cracker"], ["soup"]]


def test_yesterdays_meal_is_taken_back(talk: Talk) -> None:
    talk.at("21:00", days=1).say("lunch at 12: cheese and crackers")
    talk.at("13:00", days=2).say("lunch at 12: soup")
    assert "Taken back" in talk.say("delete yesterday's lunch")
    assert names_of(talk) == [["soup"]]


def test_a_meal_that_was_not_noted_is_not_changed(talk: Talk) -> None:
    talk.at("13:00", days=1).say("lunch at 12: soup")
    assert "I have no breakfast to change" in talk.say("delete the breakfast")
    assert names_of(talk) == [["soup"]]


def test_examples_are_in_the_persons_unit(talk: Talk) -> None:
    talk.say("help")
    assert "5.4 at 9:10" in talk.press("Readings")
    talk.say("/unit mg/dL")
    talk.say("help")
    assert "98 at 9:10" in talk.press("Readings")
    assert "98 at 9:10" in talk.say("asdfghjkl qwertz")
