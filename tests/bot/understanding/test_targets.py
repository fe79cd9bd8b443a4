"""Corrections that name the meal they mean, and words typed in a hurry."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.model.entries import Correction
from bot.model.entries_json import from_json, to_json
from bot.understanding import understand
from bot.understanding.corrections.targets import find_target, is_meant
from bot.understanding.words.mending import mend
from bot.understanding.words.plain_words import is_plain
from tests.bot.understanding.compact import context_at, read

VIENNA = ZoneInfo("Europe/Vienna")
NOW = datetime(2026, 3, 4, 20, 0, tzinfo=VIENNA)  # a Wednesday

NAMED = [
    ("delete yesterday's lunch", "lunch", date(2026, 3, 3), "undo"),
    ("please delete the breakfast from monday", "breakfast", date(2026, 3, 2), "undo"),
    ("add 20 g jam to breakfast", "breakfast", None, "add 20 g jam"),
    ("remove the cheese from yesterday's lunch", "lunch", date(2026, 3, 3), "remove the cheese"),
    ("lunch was at 11:30 not 11", "lunch", None, "no, it was at 11:30"),
    ("no, breakfast was at 7:10", "breakfast", None, "no, it was at 7:10"),
    ("move dinner to 7pm", "dinner", None, "no, it was at 7pm"),
    ("change lunch to dinner", "lunch", None, "that was dinner"),
    ("the rice yesterday at 7 was 250g", None, date(2026, 3, 3), "the rice was 250g"),
    ("dinner was an hour later than I said", "dinner", None, "an hour later than i said"),
]


@pytest.mark.parametrize(("said", "slot", "day", "rest"), NAMED, ids=[n[0] for n in NAMED])
def test_the_meal_is_named(said: str, slot: str | None, day: date | None, rest: str) -> None:
    target = find_target(said, VIENNA, NOW)
    assert target is not None
    assert (target.slot, target.day, target.rest) == (slot, day, rest)


@pytest.mark.parametrize(
    "said",
    ["lunch at 12: soup", "how was yesterday's lunch?", "walked after dinner", "change it to lunch", "undo"],
)
def test_no_meal_is_named(said: str) -> None:
    assert find_target(said, VIENNA, NOW) is None


@given(st.text(max_size=300))
def test_naming_never_raises(said: str) -> None:
    find_target(said, VIENNA, NOW)


def test_a_named_meal_is_of_that_slot_and_day(table) -> None:
    context = context_at("2026-03-04T20:00", table)
    (lunch,) = understand("lunch yesterday at 12: soup", context).entries
    target = find_target("delete yesterday's lunch", VIENNA, NOW)
    other = find_target("delete lunch today", VIENNA, NOW)
    assert target is not None
    assert is_meant(lunch, target, VIENNA)
    assert other is not None
    assert not is_meant(lunch, other, VIENNA)


def test_the_correction_keeps_what_was_named_and_comes_back_from_json(table) -> None:
    context = context_at("2026-03-04T20:00", table)
    (found,) = understand("remove the cheese from yesterday's lunch", context).entries
    assert isinstance(found, Correction)
    assert (found.what, found.slot_of, found.day_of) == ("remove", "lunch", date(2026, 3, 3))
    assert from_json(to_json(found)) == found


def test_a_time_for_a_meal_that_was_not_noted_is_no_correction(table) -> None:
    context = context_at("2026-03-04T20:00", table)
    assert read("breakfast was at 7", context).startswith("? What did you eat for breakfast?")


MENDED = [
    ("dinr was at 7", "dinner was at 7"),
    ("steak 7p", "steak 7pm"),
    ("slpet badly yestreday", "slept badly yesterday"),
    ("coffee 8, 10 and 11", "coffee 8:00 and 10:00 and 11:00"),
    ("it went from 5.1 to 8.2", "it was 5.1, then 8.2"),
    ("eggs 4 bfast", "eggs for breakfast"),
    ("tired walker, 2 dinners", "tired walker, 2 dinners"),
    ("toast with 2 and 3 eggs", "toast with 2 and 3 eggs"),
]


@pytest.mark.parametrize(("typed", "meant"), MENDED)
def test_words_typed_in_a_hurry(table, typed: str, meant: str) -> None:
    assert mend(typed, table) == meant


def test_plain_words_and_their_forms() -> None:
    assert all(map(is_plain, ["i'll", "walked", "meetings", "shift"]))
    assert not any(map(is_plain, ["pakhala", "litti", "halloumi"]))


KNOWN = [
    ("and what about dinner last night?", "one_meal"),
    ("I have a cold", "ill"),
    ("went for a 5k run", "run"),
    ("canteen: schnitzel", "schnitzel"),
    ("alcohol free beer", "drink"),
    ("140/90", "nothing"),
]


@pytest.mark.parametrize(("said", "holds"), KNOWN)
def test_what_was_misread_before(table, said: str, holds: str) -> None:
    assert holds in read(said, context_at("20:00", table))


def test_waking_is_in_the_morning(table) -> None:
    assert "06:00" in read("woke up at 6", context_at("20:00", table))


def test_an_amount_of_many_digits_is_asked_about(table) -> None:
    found = understand("12345678 g rice", context_at("20:00", table))
    assert found.entries == ()
    assert "too large a number" in found.asks[0]


def test_the_last_of_a_series_is_now(table) -> None:
    assert read("5.4, 2h later 6.1", context_at("12:00", table)) == "5.40 10:00 | 6.10 12:00"
