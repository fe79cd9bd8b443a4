"""Buttons of questions pressed late, twice, or after what they are about was changed or taken out."""

from collections.abc import Iterator

import pytest

from bot.model.entries import Meal
from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("8:00").say("breakfast: bread 50 g, cheese 20 g")
        one.at("12:30").say("lunch: bread 60 g, soup 300 g")
        assert one.at("13:00").say("the bread was 100 g").startswith("Which one do you mean")
        yield one


def plates(talk: Talk) -> list[dict[str, float]]:
    return [{i.name: i.grams for i in one.entry.items} for one in talk.meals() if isinstance(one.entry, Meal)]


def test_a_late_answer_keeps_what_was_changed_in_between(talk: Talk) -> None:
    talk.say("lunch: soup was 150 g, not 300")  # in the same second as the question
    before = plates(talk)
    assert before[1]["soup"] == 150
    assert "was changed since" in talk.press("Lunch 12:30")
    assert plates(talk) == before
    assert talk.press("Breakfast 08:00").startswith("Breakfast")


def test_an_answer_needs_only_the_entry_that_it_changes(talk: Talk) -> None:
    talk.say("delete lunch")
    assert "taken back before" in talk.press("Lunch 12:30")
    assert talk.press("Breakfast 08:00").startswith("Breakfast 08:00: bread 100 g instead of 50 g")


def test_a_question_is_answered_once(talk: Talk) -> None:
    talk.press("Lunch 12:30")
    after = plates(talk)
    for label in ("Lunch 12:30", "Breakfast 08:00"):
        assert talk.press(label).startswith("You chose “lunch 12:30” there already")
        assert plates(talk) == after


def test_something_new_is_noted_once() -> None:
    with talking() as talk:
        talk.at("12:00").say("2 eggs and peas")
        assert "something new?" in talk.at("12:05").say("peas 80 g, toast")
        talk.press("Something new")
        assert talk.press("Something new").startswith("You chose")
        assert len(talk.meals()) == 2


def test_words_never_answer_an_older_question_than_the_last(talk: Talk) -> None:
    before = plates(talk)
    assert talk.say("the bread was 90 g").startswith("Which one do you mean")
    talk.press("Lunch 12:30")
    talk.say("breakfast")
    assert plates(talk)[0] == before[0]


def test_another_entry_is_offered_after_a_change_that_changed_nothing() -> None:
    with talking() as talk:
        talk.at("8:00").say("breakfast: bread 50 g, cheese 20 g")
        talk.at("12:30").say("lunch: bread 60 g, soup 300 g")
        assert talk.at("12:40").say("make the bread 60 g").startswith("That changes nothing")
        assert talk.press("Another entry") == "Lunch 12:30 is as it was. Which did you mean?"
        assert talk.press("Breakfast 08:00").startswith("Breakfast 08:00: bread 60 g instead of 50 g")
        assert talk.press("Another entry").startswith("You chose “Breakfast 08:00” there already")
