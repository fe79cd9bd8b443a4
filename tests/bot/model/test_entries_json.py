import json
from datetime import UTC, datetime, timedelta, timezone
from typing import get_args
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.model.entries import (
    Activity,
    Correction,
    Entry,
    Extra,
    Feeling,
    Item,
    Meal,
    Nothing,
    Nutrients,
    Question,
    Reading,
    Sensor,
    Skipped,
    Sleep,
    Sync,
)
from bot.model.entries_json import KINDS, from_json, kind_of, to_json

ZONES = [
    UTC,
    ZoneInfo("Europe/Vienna"),
    ZoneInfo("Asia/Kathmandu"),
    ZoneInfo("Australia/Lord_Howe"),
    timezone(timedelta(hours=-9, minutes=-30)),
]
VIENNA = ZoneInfo("Europe/Vienna")
AT = datetime(2026, 3, 2, 6, 15, tzinfo=UTC)

BOUNDS = (datetime(1990, 1, 1), datetime(2100, 1, 1))  # noqa: DTZ001 - hypothesis adds the zone
instants = st.none() | st.datetimes(*BOUNDS, timezones=st.just(UTC))
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
amounts = st.floats(0, 5000)
nutrients = st.none() | st.builds(Nutrients, *[st.none() | amounts] * 7).filter(lambda n: n != Nutrients())
items = st.lists(
    st.builds(
        Item,
        said=words,
        name=words,
        food=st.none() | words,
        grams=amounts,
        grams_low=amounts,
        grams_high=amounts,
        stated=st.booleans(),
        sure=st.floats(0, 1),
        nutrients=nutrients,
        assumed=words,
    ),
    max_size=3,
).map(tuple)
extras = st.lists(st.builds(Extra, words, st.none() | amounts), max_size=2).map(tuple)
slots = st.sampled_from(["breakfast", "lunch", "dinner", "snack", "drink"])
timed = st.sampled_from(["stated", "now", "slot"])
some_minutes = st.none() | st.floats(0, 600)
all_entries = st.one_of(
    st.builds(Meal, instants, slots, items, extras, st.booleans(), timed, words),
    st.builds(
        Activity, words, some_minutes, instants, st.sampled_from(["light", "moderate", "hard"]), timed, words
    ),
    st.builds(Reading, st.floats(0, 60), instants, words, timed, words),
    st.builds(Sleep, instants, instants, words),
    st.builds(Sync, instants, words),
    st.builds(Sensor, st.sampled_from(["started", "ended"]), instants, words),
    st.builds(Feeling, words, instants, words),
    st.builds(Skipped, words, instants, words, words),
    st.builds(Question, st.sampled_from(["food", "day", "other"]), instants, instants, words, words),
    st.builds(
        Correction,
        st.sampled_from(["amount", "add", "remove", "time", "slot", "undo"]),
        items,
        instants,
        st.none() | slots,
        words,
    ),
    st.builds(Nothing, words),
)

# Field names as contract.md gives them under "`understand` output".
CONTRACT = {
    "meal": {"at", "slot", "items", "extras", "eaten_in_order", "nutrients"},
    "activity": {"what", "minutes", "at", "effort"},
    "reading": {"mmol", "at"},
    "sleep": {"from", "to"},
    "sync": {"at"},
    "sensor": {"what", "at"},
    "feeling": {"what", "at"},
    "skipped": {"what", "routine", "at"},
    "question": {"about", "since", "until", "subject"},
    "correction": set(),
    "none": set(),
}
CONTRACT_ITEM = {
    "said", "name", "food", "grams", "grams_low", "grams_high", "stated", "energy_kcal", "carbs_g", "fibre_g",
    "sugars_g", "fat_g", "saturated_fat_g", "protein_g", "sure",
}  # fmt: skip


@given(all_entries, st.sampled_from(ZONES))
def test_an_entry_comes_back_from_json_text_in_any_zone(entry: Entry, zone):
    text = json.dumps(to_json(entry, zone), allow_nan=False)
    assert from_json(json.loads(text)) == entry


@given(all_entries)
def test_an_entry_has_the_fields_of_the_contract(entry: Entry):
    data = to_json(entry)
    assert data["kind"] == kind_of(entry)
    assert data.keys() >= CONTRACT[kind_of(entry)]
    for item in data.get("items", []):
        assert item.keys() >= CONTRACT_ITEM


def test_every_kind_of_entry_has_a_name():
    assert set(KINDS.values()) == set(get_args(Entry))
    assert set(KINDS) == set(CONTRACT)


def test_a_meal_in_the_zone_asked_for():
    toast = Item("rye toast", "rye toast", "Bread, rye", 64.0, 50.0, 80.0, False, 0.9, Nutrients(160.0, 27.0))
    data = to_json(Meal(AT, "breakfast", (toast, toast), (Extra("vinegar", 15.0),), True), VIENNA)
    assert data["at"] == "2026-03-02T07:15:00+01:00"
    assert data["items"][0]["carbs_g"] == 27.0
    assert data["items"][0]["fibre_g"] is None
    assert data["extras"] == [{"name": "vinegar", "grams": 15.0}]
    assert data["nutrients"]["energy_kcal"] == 320.0


def test_a_night_is_from_and_to():
    night = Sleep(AT, None)
    assert to_json(night, VIENNA) == {
        "kind": "sleep", "from": "2026-03-02T07:15:00+01:00", "to": None, "said": "",
    }  # fmt: skip


def test_both_passes_through_a_repeated_hour_stay_apart():
    # 2026-10-25 02:30 happens twice in Vienna: at 00:30 and at 01:30 UTC.
    first = datetime(2026, 10, 25, 2, 30, tzinfo=VIENNA)
    second = first.replace(fold=1)
    assert to_json(Sync(first), VIENNA)["at"] == "2026-10-25T02:30:00+02:00"
    assert to_json(Sync(second), VIENNA)["at"] == "2026-10-25T02:30:00+01:00"
    assert from_json(to_json(Sync(first))).at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert from_json(to_json(Sync(second))).at == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


def test_no_nutrients_and_nothing_known_are_the_same():
    unknown = Item("x", "x", None, 1.0, 1.0, 1.0, True, 0.1, Nutrients())
    assert from_json(to_json(Meal(AT, "snack", (unknown,)))).items[0].nutrients is None


def test_an_instant_without_zone_is_refused():
    with pytest.raises(ValueError, match="no time zone"):
        to_json(Sync(datetime(2026, 3, 2, 7, 15)))  # noqa: DTZ001 - that is the point


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"kind": "dream"}, "kind of entry 'dream' is not known here; a newer tablenote"),
        ({}, "kind of entry None is not known"),
        ({"kind": ["meal"]}, "is not known here"),
        ({"kind": "sync", "at": None, "battery": 3}, "sync field 'battery' is not known here; a newer"),
        ({"kind": "sync"}, "sync field 'at' is missing"),
        ({"kind": "meal", "at": None, "slot": "snack", "items": [{"colour": 1}]}, "item field 'colour'"),
    ],
)
def test_what_a_newer_version_wrote_is_a_clear_error(data, message):
    with pytest.raises(ValueError, match=message):
        from_json(data)
