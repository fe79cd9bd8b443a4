"""Short talk: what is dropped, what stays, and that a note answered by a mark alone can be taken back."""

import re
from collections.abc import Iterator

import pytest

from bot.model.entries import Meal
from bot.model.messages import Outgoing
from bot.reply import cautions, fixed
from bot.talk.brief import sentences_of, unsaid
from tests.talk import Talk, talking

PLAIN = "A usual apple is about 182 g."
PARTS = (cautions.BELOW_RANGE, cautions.ABOVE_RANGE, cautions.SCORES_HIDDEN)
"""Texts beside the cautions that are none by themselves."""
OF_CARE = re.compile(r"doctor|clinician|midwife|medical|dietitian|enamel|coumarin")
PLACES = {"value": "2.9 mmol/L", "line": "3.9 mmol/L"}


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking(talk="short") as opened:
        opened.at("12:35").say("12 g butter at 7:10")
        yield opened


def told(talk: Talk, *texts: str, whole: bool = False) -> list[str]:
    """Return what is left of messages that are said after one another."""
    with talk.app.store.read() as tx:
        said = unsaid(tx, [Outgoing("local", text, whole=whole) for text in texts], talk.clock.now())
    return [message.text for message in said]


@pytest.mark.parametrize("text", cautions.ALL)
def test_a_caution_that_is_due_is_said_whole_though_it_was_said_today(talk: Talk, text: str) -> None:
    due = f"Noted.\n{text.format(**PLACES)}"
    assert told(talk, due, due) == [due, due]


def test_all_cautions_are_kept_from_being_dropped() -> None:
    of_module = {text for name, text in vars(cautions).items() if name.isupper() and isinstance(text, str)}
    of_care = {text for text in vars(fixed).values() if isinstance(text, str) and OF_CARE.search(text)}
    assert of_module - set(PARTS) <= set(cautions.ALL)
    assert of_care <= {*cautions.ALL, *fixed.REPORT_CAUTIONS}


def test_a_sentence_is_said_once_a_day_unless_it_begins_the_message(talk: Talk) -> None:
    assert told(talk, f"Noted.\n{PLAIN}", f"Noted.\n{PLAIN}", PLAIN) == [f"Noted.\n{PLAIN}", "Noted.", PLAIN]


@pytest.mark.parametrize("kept", ["Which of the two did you eat?", "About 69 g.", "I left out: “so to say”."])
def test_questions_short_sentences_and_what_was_left_out_stay(talk: Talk, kept: str) -> None:
    assert told(talk, f"Noted. {kept}", f"Noted. {kept}")[1] == f"Noted. {kept}"


def test_what_was_asked_for_stays(talk: Talk) -> None:
    assert told(talk, f"Here. {PLAIN}", f"Here. {PLAIN}", whole=True)[1] == f"Here. {PLAIN}"


def test_full_talk_and_the_next_day_say_it_again(talk: Talk) -> None:
    first = talk.say("what is evenness?")
    later = sentences_of(first)[-1]
    assert told(talk, f"Well.\n{later}") == ["Well."]
    assert told(talk.at("12:35", days=1), f"Well.\n{later}") == [f"Well.\n{later}"]
    talk.say("/talk full")
    talk.say("what is evenness?")
    assert told(talk, f"Well.\n{later}") == [f"Well.\n{later}"]


def test_a_worse_value_brings_its_caution_the_same_day_and_the_same_one_none(talk: Talk) -> None:
    assert "where doctors start to call a value low" in talk.say("3.5 at 12:20")
    assert "low" not in talk.say("3.5 at 12:21")
    assert "is very low. A sensor shows this too" in talk.note("2.8 at 12:22")


@pytest.fixture
def marked(talk: Talk) -> Talk:
    """Note a meal that is answered by a mark alone."""
    for day in range(1, 4):
        talk.at("12:35", days=day).say("200 g cooked rice at 12:30")
    talk.at("12:35", days=4).say("200 g cooked rice at 12:30", message_id="rice")
    assert (talk.heard[-1].reaction, talk.heard[-1].answers_to) == ("noted", "rice")
    assert len(talk.meals()) == 5
    return talk


def test_a_note_that_got_a_mark_is_undone_in_words(marked: Talk) -> None:
    assert marked.say("undo") == "Taken back: lunch (cooked rice), 12:30."
    assert len(marked.meals()) == 4


def test_it_is_undone_by_the_buttons_of_today(marked: Talk) -> None:
    marked.say("today")
    marked.press("12:30 lunch")
    marked.press("Undo")
    assert len(marked.meals()) == 4


def test_it_is_changed_by_editing_the_message(marked: Talk) -> None:
    marked.say("120 g cooked rice at 12:30", message_id="rice", edited=True)
    meal = marked.meals()[-1].entry
    assert isinstance(meal, Meal)
    assert [item.grams for item in meal.items] == [120.0]
    assert len(marked.meals()) == 5
