"""Questions with buttons can be answered in words; taking back what was only asked about takes nothing."""

from dataclasses import replace

import pytest

from bot.foodtable import load_table
from bot.model.entries import Choice, Correction, Item, Meal
from bot.model.messages import Incoming
from bot.talk.changing import ask_which, recent_log
from bot.talk.heard import Heard
from bot.understanding.context import Context
from bot.understanding.search.readers import Readers
from bot.understanding.search.reads import Read
from bot.understanding.search.stretches import stretch_of
from bot.understanding.search.unsure import ask_which as ask_in_words
from bot.understanding.words.tokens import read_tokens
from tests.talk import VIENNA, Talk, talking

SODA = Item("lemon soda", "lemon soda", "Soft drink, lemon-lime", 330, 300, 360, stated=True, sure=1.0)


@pytest.fixture
def talk():
    with talking() as talk:
        yield talk


def items(talk: Talk) -> list[list[tuple[str, int]]]:
    return [[(item.name, round(item.grams)) for item in meal.entry.items] for meal in talk.meals()]


def ask_new_or_change(talk: Talk) -> None:
    """Note a lunch, then be asked about a lemon soda."""
    talk.at("12:20").say("170 g tofu")
    talk.at("12:50")
    (lunch,) = talk.meals()
    after = replace(lunch.entry, items=(*lunch.entry.items, SODA))
    new = Meal(talk.clock.now(), "lunch", (SODA,))
    change = Correction("add", said="a lemon soda", target=lunch.id, after=after)
    note = Correction("note", said="a lemon soda", after=new)
    choice = Choice("Is that a change?", (("change lunch 12:20", change), ("something new", note)))
    incoming = Incoming(talk.person, "asking", talk.clock.now(), message_id="asking", text="a lemon soda")
    with talk.app.store.begin() as tx:
        heard = Heard(tx, tx.people.get(talk.person), incoming)
        asked = tx.outbox.put(
            ask_which(heard, choice, recent_log(heard)), at=talk.clock.now(), update_id="asking"
        )
    talk.heard.append(asked)


@pytest.mark.parametrize(
    "words", ["something new", "new", "It was something new.", "a separate one", "the second"]
)
def test_words_of_a_label_do_what_its_button_does(talk, words):
    ask_new_or_change(talk)
    talk.say(words)
    assert len(talk.meals()) == 2


@pytest.mark.parametrize(
    "words", ["change", "lunch", "the lunch please", "a change of lunch 12:20", "the first one"]
)
def test_the_entry_that_a_button_names_can_be_named(talk, words):
    ask_new_or_change(talk)
    talk.say(words)
    (meal,) = talk.meals()
    assert [item.name for item in meal.entry.items] == ["tofu", "lemon soda"]


def test_neither_leaves_all_as_it_is(talk):
    ask_new_or_change(talk)
    before = items(talk)
    assert "change nothing" in talk.say("neither")
    assert items(talk) == before


def test_other_words_are_no_answer(talk):
    ask_new_or_change(talk)
    assert "pear" in talk.at("15:00").say("a pear")


def test_undo_right_after_a_question_takes_nothing_back(talk):
    ask_new_or_change(talk)
    before = items(talk)
    assert "Nothing was noted" in talk.say("undo")
    assert items(talk) == before
    assert "Taken back" in talk.say("undo")


def test_undo_after_the_answer_takes_the_answer_back(talk):
    ask_new_or_change(talk)
    before = items(talk)
    talk.press("Change lunch 12:20")
    assert items(talk) != before
    talk.say("undo")
    assert items(talk) == before


def test_cooked_or_dry_is_answered_in_words(talk):
    assert "cooked or dry?" in talk.at("12:30").say("80 g pasta")
    assert "as dry from now on" in talk.say("dry")
    assert items(talk) == [[("dry pasta", 80)]]


def test_which_of_two_times_is_answered_in_words(talk):
    asked = talk.at("22:30").say("tofu and spinach at 8")
    assert "Was that 20:00 or 08:00?" in asked
    talk.say("08:00")
    assert [meal.entry.at.astimezone(VIENNA).hour for meal in talk.meals()] == [8]


def asked_about(talk: Talk, text: str) -> Choice | None:
    """Return what would be asked were it in doubt what some words are."""
    with talk.app.store.begin() as tx:
        heard = Heard(tx, tx.people.get(talk.person), Incoming(talk.person, "u", talk.clock.now(), text=text))
        log = recent_log(heard)
    readers = Readers(Context(talk.clock.now(), VIENNA, load_table(), log=log))
    stretch = stretch_of(read_tokens(text), text)
    found = ask_in_words(Read(stretch, "note", 0.0, rival=readers.edits(text)), readers)
    return None if found is None else found.choice


def test_one_option_stands_for_all_changes_of_a_sentence(talk):
    talk.at("08:30").say("60 g pastry")
    talk.at("12:20").say("170 g tofu")
    choice = asked_about(talk.at("12:50"), "pastry was 30 g, tofu was 300 g")
    label, change = choice.options[0]
    assert label == "change breakfast 08:30 and lunch 12:20"
    both = [one.after.items[0] for one in (change, *change.also)]
    assert [(item.name, round(item.grams)) for item in both] == [("pastry", 30), ("tofu", 300)]


@pytest.mark.parametrize("words", ["the tofu was 300 g at 20:00", "tofu and jam at 20:00", "synced at 20:00"])
def test_something_new_is_offered_only_where_it_has_a_time(talk, words):
    talk.at("12:20").say("170 g tofu")
    choice = asked_about(talk.at("12:50"), words)
    assert choice is None or [label for label, _ in choice.options] == ["change lunch 12:20"]


def test_all_that_is_new_is_noted_by_one_button(talk):
    talk.at("12:20").say("170 g tofu")
    choice = asked_about(talk.at("18:50"), "a pear at 16:00, walked 20 min at 17:00")
    assert [one.after.at.hour for one in (choice.options[-1][1], *choice.options[-1][1].also)] == [15, 16]


@pytest.mark.parametrize(
    ("answer", "grams", "learnt"),
    [("300 g", 300, True), ("the pie was huge, 450 g", 450, False), ("a small portion", 248, False)],
)
def test_only_a_bare_amount_is_taken_for_the_next_time(talk, answer, grams, learnt):
    talk.at("12:30").say("shepherds pie")
    heard = talk.at("12:31").say(answer)
    assert items(talk) == [[("shepherds pie", grams)]]
    assert ("without an amount" in heard) is learnt
