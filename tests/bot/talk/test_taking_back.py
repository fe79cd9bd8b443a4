"""“undo”, once and again: each takes back what was done last and stands."""

from collections.abc import Iterator

import pytest

from bot.model.entries import Meal
from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("8:00").say("breakfast: bread 50 g, cheese 20 g")
        one.at("12:30").say("lunch: bread 60 g, soup 300 g")
        one.at("12:40")
        yield one


def plates(talk: Talk) -> list[dict[str, float]]:
    return [{i.name: i.grams for i in one.entry.items} for one in talk.meals() if isinstance(one.entry, Meal)]


@pytest.mark.parametrize("slot", ["lunch", "breakfast"])
def test_an_entry_that_was_taken_out_comes_back(talk: Talk, slot: str) -> None:
    before = plates(talk)
    assert talk.say(f"delete {slot}").startswith(f"Taken back: {slot}")
    assert talk.say("undo").startswith(f"Put back: {slot}")
    assert plates(talk) == before


def test_undo_again_goes_further_back(talk: Talk) -> None:
    steps = [plates(talk)]
    for words in ("make the soup 200 g", "delete breakfast", "add 10 g butter"):
        talk.say(words)
        steps.append(plates(talk))
    for before in reversed(steps[:-1]):
        talk.say("undo")
        assert plates(talk) == before
    assert talk.say("undo").startswith("Taken back: lunch")
    assert talk.say("undo").startswith("Taken back: breakfast")
    assert plates(talk) == []


def test_what_was_moved_to_another_entry_does_not_come_back(talk: Talk) -> None:
    before = plates(talk)
    talk.say("make the bread 100 g")
    talk.press("Another entry")
    talk.press("Breakfast 08:00")
    talk.say("undo")
    assert plates(talk) == before
    talk.say("undo")
    assert plates(talk) == before[:1]


def test_undo_after_put_back_takes_out_what_was_noted_last(talk: Talk) -> None:
    talk.say("delete breakfast")
    talk.press("Put back")
    assert talk.say("undo").startswith("Taken back: lunch")


def test_undo_after_a_press_is_of_the_press_although_a_question_is_open(talk: Talk) -> None:
    before = plates(talk)
    assert talk.at("13:00").say("the bread was 100 g").startswith("Which one do you mean")
    talk.send(press=f"grams:{talk.meals()[1].id},150.0,soup")
    assert plates(talk)[1] == {"bread": 60, "soup": 150}
    talk.say("undo")
    assert plates(talk) == before


def test_undo_after_an_amount_was_chosen_is_of_the_amount(talk: Talk) -> None:
    before = plates(talk)
    talk.press("Fix amounts")
    talk.press("½ soup")
    talk.say("undo")
    assert plates(talk) == before
