"""An entry put in words reads back as the same entry."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.model.entries import (
    Activity,
    Correction,
    Extra,
    Feeling,
    Item,
    Meal,
    Nothing,
    Question,
    Reading,
    Sensor,
    Sleep,
    Sync,
)
from bot.understanding import understand, word_entry
from bot.understanding.states.feelings import FEELINGS
from bot.understanding.words.movements import MOVEMENTS
from tests.bot.understanding.compact import VIENNA, context_at
from tests.bot.understanding.small_table import build_small_table

TABLE = build_small_table()
NOW = datetime(2026, 11, 20, 12, tzinfo=UTC)
CONTEXT = context_at("2026-11-20T13:00", TABLE)

minutes_back = st.integers(min_value=0, max_value=250 * 24 * 60)
instants = minutes_back.map(lambda minutes: NOW - timedelta(minutes=minutes))
names = st.sampled_from(["rye toast", "butter", "oats", "milk", "fish and chips", "roast dinner", "zorblax"])
slots = st.sampled_from(["breakfast", "lunch", "dinner", "snack", "drink"])


@st.composite
def items(draw: st.DrawFn) -> Item:
    name = draw(names)
    known = TABLE.match(name)
    grams = draw(st.integers(min_value=1, max_value=20_000)) / 10
    stated = known is None or draw(st.booleans())
    if not stated:
        grams = TABLE.portion(known).grams
    food = None if known is None else known.food.description
    return Item(name, name, food, grams, grams, grams, stated, 1.0)


meals = st.builds(
    Meal,
    at=instants,
    slot=slots,
    items=st.lists(items(), min_size=1, max_size=4, unique_by=lambda item: item.name).map(tuple),
    extras=st.sampled_from([(), (Extra("vinegar", 15.0),), (Extra("cinnamon"),)]),
)
entries = st.one_of(
    meals,
    st.builds(
        Activity,
        what=st.sampled_from(sorted({what for what, _ in MOVEMENTS.values()})),
        minutes=st.none() | st.integers(min_value=1, max_value=600).map(float),
        at=instants,
        effort=st.sampled_from(["light", "moderate", "hard"]),
    ),
    st.builds(Sleep, from_at=instants, to_at=st.none()),
    st.builds(Sync, at=instants),
    st.builds(Sensor, what=st.sampled_from(["started", "ended"]), at=instants),
    st.builds(Feeling, what=st.sampled_from(sorted({*FEELINGS.values(), "bad night"})), at=instants),
)


def plain(entry):
    """Keep what wording must keep: not the words themselves, nor the ranges and figures that follow."""
    # In UTC: Python holds a repeated clock time unequal to the same instant in another zone.
    instants = {name: getattr(entry, name, None) for name in ("at", "from_at", "to_at")}
    entry = replace(entry, **{name: at.astimezone(UTC) for name, at in instants.items() if at is not None})
    if isinstance(entry, Meal):
        kept = tuple((i.name, i.food, pytest.approx(i.grams, abs=0.051), i.stated) for i in entry.items)
        return (entry.at, entry.slot, kept, entry.extras, entry.eaten_in_order)
    return replace(entry, said="", **({"timed": "stated"} if hasattr(entry, "timed") else {}))


@settings(deadline=None, max_examples=400)
@given(entry=entries)
def test_entry_in_words_reads_back_the_same(entry):
    words = word_entry(entry, VIENNA)
    understood = understand(words, CONTEXT)
    assert understood.asks == ()
    assert [plain(e) for e in understood.entries] == [plain(entry)], words


@settings(deadline=None)
@given(at=instants, hours=st.integers(min_value=1, max_value=13))
def test_night_in_words_reads_back_the_same(at, hours):
    sleep = Sleep(at - timedelta(hours=hours), at)
    assert [plain(e) for e in understand(word_entry(sleep, VIENNA), CONTEXT).entries] == [sleep]


@given(tenths=st.integers(min_value=20, max_value=300), at=instants)
def test_reading_in_words_reads_back_the_same(tenths, at):
    entry = Reading(tenths / 10, at)
    (back,) = understand(word_entry(entry, VIENNA), CONTEXT).entries
    assert (back.mmol, back.at.astimezone(UTC)) == (pytest.approx(entry.mmol), at)
    (back,) = understand(word_entry(entry, VIENNA, "mg/dL"), CONTEXT).entries
    assert back.mmol == pytest.approx(entry.mmol, abs=0.5 / 18.0182 + 1e-9)
    assert back.at.astimezone(UTC) == at


@given(foods=st.lists(items(), min_size=1, max_size=3, unique_by=lambda item: item.name), at=instants)
def test_correction_in_words_says_what_it_changes(foods, at):
    # What a change makes of the diary hangs on what stands in it, so its words alone cannot be read back.
    for correction in (Correction("remove", tuple(foods)), Correction("add", tuple(foods))):
        said = word_entry(correction, VIENNA)
        assert all(item.name in said for item in foods)
    assert f"{at.astimezone(VIENNA):%H:%M}" in word_entry(Correction("time", at=at), VIENNA)
    assert "35 min" in word_entry(Correction("amount", minutes=35.0), VIENNA)
    assert "dinner" in word_entry(Correction("slot", slot="dinner"), VIENNA)


def test_eaten_in_order_is_kept():
    (meal,) = understand("80 g salad first, then 150 g rice", CONTEXT).entries
    words = word_entry(meal, VIENNA)
    assert words == "lunch 2026-11-20 13:00: 80 g salad, then 150 g rice"
    assert plain(understand(words, CONTEXT).entries[0]) == plain(meal)


def test_second_of_two_equal_clock_times_keeps_its_offset():
    second = datetime(2026, 10, 25, 1, 30, tzinfo=UTC)  # 02:30 for the second time in Vienna
    words = word_entry(Sync(second), VIENNA)
    assert words == "synced at 2026-10-25 02:30+01:00"
    assert understand(words, CONTEXT).entries[0].at.astimezone(UTC) == second


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (Activity("walk", 10.0, NOW), "easy walk 10 min at 2026-11-20 13:00"),
        (Reading(5.4, NOW), "5.4 mmol/L at 2026-11-20 13:00"),
        (Sleep(None, NOW), "woke at 2026-11-20 13:00"),
        (Sync(None), "synced"),
        (Question("help", said="help"), "help"),
        (Nothing("bla"), "bla"),
    ],
)
def test_words_are_plain(entry, words):
    assert word_entry(entry, VIENNA) == words
