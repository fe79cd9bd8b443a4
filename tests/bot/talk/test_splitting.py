"""A food of a plate that was of another meal or day moves alone; what stands for the plate moves it."""

import pytest

from bot.model.entries import Meal
from tests.talk import VIENNA, talking


def diary(talk):
    """Return each meal as (day, clock, slot, foods)."""
    return [
        (f"{m.at.astimezone(VIENNA):%d %H:%M}", m.entry.slot, [item.name for item in m.entry.items])
        for m in talk.meals()
        if isinstance(m.entry, Meal)
    ]


@pytest.mark.parametrize(
    ("said", "moved", "foods"),
    [
        ("no, the apple was yesterday", "01 13:00", ["apple"]),
        ("the apple was for breakfast", "02 08:00", ["apple"]),
    ],
)
def test_a_small_part_moves_alone(said, moved, foods):
    with talking() as talk:
        talk.at("08:00").say("250 g porridge")
        talk.at("13:00").say("250 g beef curry, 180 g cooked rice and an apple")
        said = talk.say(said)
        assert "Lunch 13:00: apple removed." in said
        entries = diary(talk)
        assert ("02 13:00", "lunch", ["beef curry", "cooked rice"]) in entries
        assert [e[2] for e in entries if e[0] == moved][-1] == foods
        assert len(entries) == 3


def test_the_main_food_and_a_clock_time_move_the_plate():
    with talking() as talk:
        talk.at("13:00").say("250 g beef curry, 100 g cooked rice and an apple")
        talk.say("the curry was yesterday")
        assert [(e[0], len(e[2])) for e in diary(talk)] == [("01 13:00", 3)]
    with talking() as talk:
        talk.at("13:00").say("250 g beef curry, 100 g cooked rice and an apple")
        talk.say("the apple was at 12:40")
        assert [(e[0], len(e[2])) for e in diary(talk)] == [("02 12:40", 3)]


def test_both_parts_can_be_taken_back():
    with talking() as talk:
        talk.at("13:00").say("250 g beef curry, 180 g cooked rice and an apple")
        talk.say("the apple was yesterday")
        talk.say("undo")
        talk.say("undo")
        foods = [food for e in diary(talk) for food in e[2]]
        assert foods == ["beef curry", "cooked rice", "apple"]
