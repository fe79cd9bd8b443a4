"""Several things in one sentence, and two entries that fit: all done or asked about, none undoes another."""

import pytest

from bot.model.entries import Meal
from tests.talk import Talk, talking


@pytest.fixture
def talk():
    with talking() as talk:
        yield talk


def plates(talk: Talk) -> list[dict[str, int]]:
    return [
        {item.name: round(item.grams) for item in each.entry.items}
        for each in talk.meals()
        if isinstance(each.entry, Meal)
    ]


def test_changes_around_a_setting_all_hold(talk):
    talk.at("12:00").say("200 g rice, 150 g chicken")
    talk.at("12:10").say("chicken was 120 g, also I had 50 g bread, and keep quiet from 23 to 7")
    assert plates(talk) == [{"rice": 200, "chicken": 120, "bread": 50}]


@pytest.mark.parametrize(
    ("words", "left"), [("the 2nd one", 0), ("earlier", 1), ("the latest", 0), ("1st", 1)]
)
def test_of_two_that_fit_words_choose_one(talk, words, left):
    talk.at("10:00").say("60 g bread")
    talk.at("14:00").say("70 g bread")
    assert "Which one do you mean: " in talk.at("18:00").say("delete the bread")
    assert plates(talk) == [{"bread": 60}, {"bread": 70}]
    talk.at("18:01").say(words)
    assert plates(talk) == [[{"bread": 60}, {"bread": 70}][left]]


def test_what_belongs_to_an_earlier_meal_is_put_there(talk):
    talk.at("07:00").say("60 g oats")
    talk.at("12:00").say("250 g potatoes")
    talk.at("12:30").say("To breakfast belongs also 100 g banana")
    assert plates(talk) == [{"oats": 60, "banana": 100}, {"potato": 250}]


def test_what_was_so_at_another_time_changes_nothing(talk):
    talk.at("12:00").say("200 g rice")
    talk.at("12:10").say("last time it was 128 only")
    assert plates(talk) == [{"rice": 200}]


@pytest.mark.parametrize("words", ["she runs every day", "my nose runs"])
def test_what_others_do_is_no_movement(talk, words):
    talk.at("12:00").say(words)
    assert talk.logged("activity") == []


def test_a_food_of_an_older_plate_can_be_new_on_the_newest(talk):
    talk.at("07:00").say("38 g muesli with 150 ml milk, coffee")
    talk.at("07:00", 1).say("60 g toast, tea")
    talk.at("07:01", 1).say("the tea had milk")
    assert plates(talk)[0] == {"muesli": 38, "milk": 154, "coffee": 240}
    assert plates(talk)[1] == {"toast": 60, "tea": 250, "milk": 30}


def test_of_a_food_that_stands_twice_only_what_is_new_is_told(talk):
    talk.at("07:00").say("38 g muesli with 150 ml milk")
    heard = talk.at("07:02").say("and a coffee, splash of milk")
    assert "coffee 240 g added; milk 30 g added" in heard
