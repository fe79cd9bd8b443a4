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
