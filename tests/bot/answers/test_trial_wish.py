"""What is to be tested, in the wordings people use."""

import pytest

from bot.answers.trial_wish import Wish, read_wish

WALK = Wish("porridge", "a walk", "walk after")


@pytest.mark.parametrize(
    ("said", "wish"),
    [
        ("test porridge with and without a walk", WALK),
        ("Test porridge with and without a walk after it", WALK),
        ("can we test whether a walk after porridge helps me?", WALK),
        ("run a trial: porridge, walk or no walk", WALK),
        ("test white rice against lentils", Wish("white rice", against="lentils")),
        ("let's test white rice vs lentils", Wish("white rice", against="lentils")),
        (
            "set up a fair test of white rice and lentils at lunch",
            Wish("white rice", against="lentils", slot="lunch"),
        ),
        ("test cinnamon on my porridge", Wish("porridge", "cinnamon", "cinnamon")),
        ("test vinegar before rice", Wish("rice", "vinegar", "vinegar")),
        ("try toast with butter versus without, properly", Wish("toast", "butter")),
        ("test rice with vegetables first", Wish("rice", "vegetables first", "vegetables first")),
        ("I want to know if walking after porridge really helps, can we test it?", WALK),
        ("test a walk after breakfast", Wish("breakfast", "a walk", "walk after", slot="breakfast")),
        ("i would like to try it properly with and without vinegar", Wish("", "vinegar", "vinegar")),
        ("let's do a proper comparison of walking and not walking", Wish("", "a walk", "walk after")),
    ],
)
def test_wishes(said: str, wish: Wish) -> None:
    assert read_wish(said) == wish


@pytest.mark.parametrize(
    "said", ["start a test", "test", "", "let's run an experiment", "??", "test " + "x" * 500]
)
def test_what_names_nothing(said: str) -> None:
    assert read_wish(said) is None
