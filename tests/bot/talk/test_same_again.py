"""A dish had again is named by its name: "same porridge as yesterday" is what was noted then."""

import pytest

from tests.talk import talking


@pytest.mark.parametrize(
    "said", ["same porridge as yesterday", "the same porridge again", "the same porridge as on Monday"]
)
def test_the_same_dish_again_is_the_plate_it_was(said: str) -> None:
    with talking() as talk:
        talk.at("16:40").say("porridge from 60 g oats with a cup of milk and a banana")
        talk.at("20:00").say("2 slices of toast with butter")
        heard = talk.at("16:35", 1).note(said)
        assert "oats 60 g, milk 246 g, banana 118 g" in heard
        assert "porridge" in talk.meals()[-1].entry.said


def test_a_dish_that_was_not_noted_is_asked_for() -> None:
    with talking() as talk:
        assert "I have no porridge noted for yesterday" in talk.say("same porridge as yesterday")
        assert not talk.meals()


def test_a_share_of_a_food_that_was_not_on_the_plate_changes_no_other() -> None:
    with talking() as talk:
        talk.at("7:45").say("2 slices of rye bread with butter and cheese")
        assert "Changed" not in talk.at("8:00").say("the banana was only half")
        assert [item.grams for item in talk.meals()[-1].entry.items] == [64.0, 10.0, 30.0]
        assert "cheese 15 g instead of 30 g" in talk.say("the cheese was only half")


@pytest.mark.parametrize("same", ["same breakfast as yesterday", "same as yesterday's breakfast"])
def test_what_stands_behind_but_takes_the_place_of_what_it_was(same: str) -> None:
    with talking() as talk:
        talk.at("7:10").say("50 g oats with a banana and 10 g peanut butter")
        talk.at("7:15", 1).note(f"{same} but two bananas")
        assert {i.name: round(i.grams) for i in talk.meals()[-1].entry.items} == {
            "oats": 50,
            "peanut butter": 10,
            "banana": 236,
        }
