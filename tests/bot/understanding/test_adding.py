"""What is said behind a meal: more of its plate, something of its own later, or how much it was."""

from datetime import timedelta

import pytest

from bot.model.entries import Correction
from bot.understanding import understand
from bot.understanding.context import Context, Noted
from tests.bot.understanding.compact import context_at


@pytest.fixture
def said_after(table):
    """Return a function that says a note, then words some minutes later, and gives what they are."""

    def say(note: str, words: str, minutes: int):
        before = context_at("2026-03-02T12:30+01:00", table)
        (meal,) = understand(note, before).entries
        now = before.now + timedelta(minutes=minutes)
        log = (Noted(1, meal, before.now),)
        return understand(words, Context(now, before.zone, before.table, log=log))

    return say


def plate(entry) -> list[tuple[str, int]]:
    return [(item.name, round(item.grams)) for item in entry.items]


@pytest.mark.parametrize(
    "words", ["and coffee 200 ml", "plus a coffee, 200 ml", "+ 200 ml coffee", "also a coffee 200 ml"]
)
def test_more_within_minutes_is_put_on_the_plate_without_a_question(said_after, words):
    understood = said_after("150 g rice", words, 6)
    (change,) = understood.entries
    assert understood.choice is None
    assert plate(change.after) == [("rice", 150), ("coffee", 200)]


@pytest.mark.parametrize("words", ["and a coffee", "plus a coffee", "a coffee too"])
def test_more_an_hour_later_is_something_of_its_own(said_after, words):
    understood = said_after("150 g rice", words, 70)
    (meal,) = understood.entries
    assert understood.choice is None
    assert plate(meal) == [("coffee", 200)] or plate(meal) == [("coffee", 240)]


def test_what_was_forgotten_belongs_to_the_plate_an_hour_later(said_after):
    (change,) = said_after("150 g rice", "forgot 20 g butter", 70).entries
    assert plate(change.after) == [("rice", 150), ("butter", 20)]


@pytest.mark.parametrize(
    "words", ["second plate of the same", "another round of that", "refilled it", "had seconds"]
)
def test_all_of_the_plate_again(said_after, words):
    (change,) = said_after("150 g rice with 20 g butter", words, 6).entries
    assert plate(change.after) == [("rice", 300), ("butter", 40)]


def test_vinegar_is_added_beside_the_foods(said_after):
    (change,) = said_after("150 g rice", "and a spoon of vinegar", 6).entries
    assert [extra.name for extra in change.after.extras] == ["vinegar"]


@pytest.mark.parametrize(
    ("note", "words", "becomes"),
    [
        ("pasta", "about half the packet, it was a 400 g pack", [("pasta", 200)]),
        ("pasta", "a third of a 300 g pack", [("pasta", 100)]),
        ("pasta", "half the packet, 250 g in all", [("pasta", 125)]),
        ("200 g rice", "150 g, I left 50", [("rice", 100)]),
        ("6 eggs", "there were 10, I left 6", [("egg", 200)]),
        ("6 eggs", "box was 10, six remain", [("egg", 200)]),
        ("2 slices bread and 6 eggs", "10 eggs, 6 left", [("bread", 70), ("egg", 200)]),
        ("200 g rice", "I left a third of the rice", [("rice", 133)]),
    ],
)
def test_an_amount_is_worked_out_of_a_whole(said_after, note, words, becomes):
    (change,) = said_after(note, words, 6).entries
    assert plate(change.after) == becomes


def test_both_is_no_amount(said_after):
    assert not [e for e in said_after("50 g bread", "both", 6).entries if isinstance(e, Correction)]


def test_each_of_several_named_foods_gets_its_amount(said_after):
    changes = said_after(
        "50 g bread, 100 g rice, 10 g butter", "the bread was 80 g, the rice was 150 g", 120
    ).entries
    assert plate(changes[-1].after) == [("bread", 80), ("rice", 150), ("butter", 10)]
