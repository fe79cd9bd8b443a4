"""“Another entry” under a change: it is undone, and made where the person meant it."""

from collections.abc import Iterator

import pytest

from bot.model.entries import Meal
from tests.talk import Talk, talking

OTHER = "Another entry"


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("12:30").say("200 g cooked rice and chicken")
        one.at("18:30").say("dinner: 150 g cooked rice and salmon")
        yield one


def labels(talk: Talk) -> list[str]:
    return [button.label for button in talk.heard[-1].buttons]


def plates(talk: Talk) -> list[list[str]]:
    return [[i.name for i in one.entry.items] for one in talk.meals() if isinstance(one.entry, Meal)]


def test_a_change_moves_to_the_entry_that_was_meant(talk: Talk) -> None:
    before = plates(talk)
    said = talk.at("18:40").say("add 20 g butter")
    assert said.startswith("Dinner 18:30")
    assert OTHER in labels(talk)
    assert talk.press(OTHER) == "Dinner 18:30 is as it was. Which did you mean?"
    assert plates(talk) == before
    assert labels(talk) == ["Lunch 12:30"]
    assert talk.press("Lunch 12:30").startswith("Lunch 12:30: butter 20 g added")
    assert plates(talk) == [[*before[0], "butter"], before[1]]


def test_a_second_press_of_the_button_undoes_nothing_more(talk: Talk) -> None:
    talk.at("18:35").say("add an apple")
    talk.at("18:40").say("add 20 g butter")
    first = talk.press(OTHER)
    after = plates(talk)
    assert "apple" in after[1]
    assert talk.press(OTHER) == first
    assert plates(talk) == after


def test_where_only_one_entry_lives_there_is_no_such_button() -> None:
    with talking() as talk:
        talk.at("12:30").say("200 g cooked rice and chicken")
        assert talk.at("12:40").say("add 20 g butter").startswith("Lunch")
        assert OTHER not in labels(talk)


def test_a_change_that_fits_one_entry_only_has_no_such_button(talk: Talk) -> None:
    assert "salmon" in talk.at("18:40").say("the salmon was 200 g")
    assert OTHER not in labels(talk)


def test_what_was_changed_again_since_is_left(talk: Talk) -> None:
    talk.at("18:40").say("add 20 g butter")
    first = talk.heard[-1].buttons
    talk.at("18:45").say("the salmon was 200 g")
    after = plates(talk)
    data = next(button.data for button in first if button.label == OTHER)
    assert "was changed again since" in talk.send(press=data)
    assert plates(talk) == after


def test_the_other_entry_keeps_what_was_changed_there_since(talk: Talk) -> None:
    talk.at("18:40").say("add 20 g butter")
    button = next(one for one in talk.heard[-1].buttons if one.label == OTHER)
    talk.at("18:45").say("add an egg to lunch")
    assert "egg" in plates(talk)[0]
    talk.send(press=button.data)
    assert "was changed since" in talk.press("Lunch 12:30")
    assert "egg" in plates(talk)[0]
    assert "butter" not in [name for plate in plates(talk) for name in plate]


def test_at_most_four_others_are_offered(talk: Talk) -> None:
    for hour in range(9, 12):
        talk.at(f"{hour}:00", days=1).note(f"at {hour}:00: {hour * 10} g cheese")
        talk.at(f"{hour}:30", days=1).note(f"at {hour}:30: {hour * 10} g ham")
    talk.at("11:35", days=1).say("add 20 g butter")
    talk.press(OTHER)
    assert len(labels(talk)) == 4
