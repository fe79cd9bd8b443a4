"""A meal noted late: its curve says so, and a button moves it."""

from collections.abc import Iterator
from datetime import timedelta

import numpy as np
import pytest

from bot.reply import fixed
from tests.simulated.meals import hump
from tests.talk import MORNING, Talk, readings_csv, talking

NOON = MORNING.replace(hour=12)


@pytest.fixture
def talk() -> Iterator[Talk]:
    """Rice from 12:00 on, noted to have been eaten at 12:25."""
    with talking() as one:
        one.at("12:25").say("200 g cooked rice at 12:25")
        minutes = np.arange(-90.0, 181, 5)
        one.at("15:05").file(readings_csv(NOON - timedelta(minutes=90), list(5 + hump(minutes, 170, 45))))
        yield one


def test_the_button_moves_the_meal_and_shows_its_curve(talk: Talk) -> None:
    said = talk.heard[-1]
    assert "the rise began about" in said.text
    (button,) = said.buttons
    assert button.label in (
        "The rise began about 12:00: use that time?",
        "The rise began about 12:05: use that time?",
    )
    moved = talk.press(button.label)
    (meal,) = talk.meals()
    assert abs(meal.at - NOON) <= timedelta(minutes=5)
    assert "Lunch moved from 12:25 to 12:0" in moved
    assert "late bite" not in moved
    assert "evenness" in moved
    assert talk.heard[-1].picture is not None
    assert talk.heard[-1].buttons == ()
    assert "That changes nothing" in talk.press(button.label), "pressed twice it is moved once"
    talk.say("undo")
    assert talk.meals()[0].at == NOON + timedelta(minutes=25)


def test_the_button_of_a_note_taken_back_says_so(talk: Talk) -> None:
    label = talk.heard[-1].buttons[0].label
    talk.say("undo")
    assert talk.meals() == []
    assert talk.press(label) == fixed.TAKEN_BACK
    talk.send(press="bite:999999,1", message_id="x")
    assert talk.heard[-1].text == fixed.NOT_HERE


def test_a_meal_noted_rightly_has_no_such_button() -> None:
    with talking() as talk:
        talk.at("12:00").say("200 g cooked rice at 12:00")
        minutes = np.arange(-90.0, 181, 5)
        talk.at("15:05").file(readings_csv(NOON - timedelta(minutes=90), list(5 + hump(minutes, 170, 45))))
        assert talk.heard[-1].buttons == ()
        assert "evenness" in talk.heard[-1].text
