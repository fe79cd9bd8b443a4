"""What an unknown food may be, as buttons in the answer to its note."""

from collections.abc import Iterator

import pytest

from tests.talk import Talk, talking

NOTE = "2 zorbo whirls and a banana"


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def labels(talk: Talk) -> list[str]:
    return [button.label for button in talk.heard[-1].buttons]


def test_offers_stand_in_the_answer_to_the_note(talk: Talk) -> None:
    said = talk.at("12:30").say(NOTE)
    assert len(talk.heard) == 1
    assert "Is “zorbo whirls” one of these?\n1. " in said
    assert labels(talk)[0] == "1"
    assert {"None of these", "Undo"} <= set(labels(talk))


def test_the_choice_fills_in_what_was_had_and_is_remembered(talk: Talk) -> None:
    talk.at("12:30").say(NOTE)
    said = talk.press("1")
    assert said.startswith("Filled in “zorbo whirls”: ")
    assert "From now on “zorbo whirls” means that to me" in said
    bars, banana = talk.meals()[0].entry.items
    assert bars.grams > 0
    assert bars.nutrients.carbs_g > 0
    assert banana.food == "Banana, raw"
    later = talk.at("19:00", days=1).say("a zorbo whirl")
    assert "I don't know" not in later
    one = talk.meals()[1].entry.items[0]
    assert one.grams == pytest.approx(bars.grams / 2)
    assert one.nutrients.carbs_g == pytest.approx(bars.nutrients.carbs_g / 2, rel=0.01)


def test_another_choice_takes_the_place_of_the_first(talk: Talk) -> None:
    talk.at("12:30").say(NOTE)
    talk.press("1")
    first = talk.meals()[0].entry.items[0]
    talk.press("2")
    second = talk.meals()[0].entry.items[0]
    assert second.nutrients != first.nutrients
    assert len(talk.meals()[0].entry.items) == 2


def test_none_of_these_is_remembered_too(talk: Talk) -> None:
    talk.at("12:30").say(NOTE)
    talk.press("1")
    assert "stays without nutrients" in talk.press("None of these")
    assert talk.meals()[0].entry.items[0].food is None
    later = talk.at("19:00", days=1).say("an apple and 3 zorbo whirls")
    assert "I don't know “zorbo whirls”" in later
    assert "one of these" not in later


def test_what_fits_nothing_is_not_offered_anything(talk: Talk) -> None:
    said = talk.at("12:30").say("40 g xqzzyvq and a banana")
    assert "I don't know “xqzzyvq”" in said
    assert "one of these" not in said
    assert "None of these" not in labels(talk)


def test_a_note_taken_back_is_not_filled_in(talk: Talk) -> None:
    talk.at("12:30").say(NOTE)
    talk.press("Undo")
    assert "taken back before" in talk.press("1")


def test_an_amount_said_since_holds(talk: Talk) -> None:
    talk.at("12:30").say("200 g zorbo whirls")
    assert talk.at("12:31").say("no, 300 g zorbo whirls").startswith("Lunch")
    for label in ("1", "2"):
        assert ", 300 g." in talk.press(label)
        assert talk.meals()[0].entry.items[0].grams == 300


def test_undo_of_a_choice_says_that_its_figures_are_gone(talk: Talk) -> None:
    talk.at("12:30").say("200 g zorbo whirls")
    talk.press("1")
    assert talk.say("undo").startswith("Lunch 12:30: zorbo whirls without nutrients.")
    assert "zorbo" not in talk.say("/words")


@pytest.mark.parametrize("label", ["1", "None of these"])
def test_an_old_offer_leaves_what_was_taught_since(talk: Talk, label: str) -> None:
    talk.at("12:30").say(NOTE)
    talk.say("my zorbo whirls: 60 g, 21 g carbs, 15 g protein, 9 g fat")
    taught = talk.meals()[0].entry
    assert talk.press(label) == "“zorbo whirls” has its figures already."
    assert talk.meals()[0].entry == taught
    assert "“zorbo whirls” is 60 g" in talk.say("/words")


def test_a_refused_offer_is_no_question_that_words_answer(talk: Talk) -> None:
    talk.at("12:30").say("zorbo whirls and rice")
    talk.press("None of these")
    assert "stays as noted" not in talk.say("yes")
