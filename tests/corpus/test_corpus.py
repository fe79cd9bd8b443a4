from collections import Counter
from datetime import datetime
from typing import Any, get_args
from zoneinfo import ZoneInfo

import pytest

from bot.model.entries import About, Correction, Sensor, Slot
from bot.model.entries_json import KINDS
from tests.corpus.corpus import Note, is_set_aside, load_notes, notes_of

NOTES = load_notes()
SLOTS = set(get_args(Slot))
EXACT = {
    "sensor": set(get_args(Sensor.__annotations__["what"])),
    "correction": set(get_args(Correction.__annotations__["what"])),
}


def test_there_are_enough_notes_and_many_are_hard():
    assert len(NOTES) >= 480
    assert sum(n["hard"] for n in NOTES) >= len(NOTES) / 4  # those who wrote everyday text marked none


def test_ids_are_unique_and_no_note_is_there_twice():
    assert [i for i, count in Counter(n["id"] for n in NOTES).items() if count > 1] == []
    said = Counter((n["text"], n["now"], n.get("before", {}).get("text")) for n in NOTES)
    assert [text for text, count in said.items() if count > 1] == []


def test_about_a_quarter_is_set_aside_in_every_theme():
    assert len(notes_of("test")) + len(notes_of("tuning")) == len(NOTES)
    own = [n for n in NOTES if not n.get("tuned", False)]
    themes = {n["kind_tags"][0] for n in own}
    shares = {t: [is_set_aside(n["id"]) for n in own if n["kind_tags"][0] == t] for t in themes}
    assert 0.2 < sum(map(sum, shares.values())) / len(own) < 0.3
    assert all(any(each) for each in shares.values())


def test_notes_that_were_tuned_on_are_not_set_aside():
    assert len(notes_of("fresh")) > 600
    assert not any(n.get("tuned", False) for n in notes_of("test"))


@pytest.mark.parametrize("note", NOTES, ids=lambda n: n["id"])
def test_note_is_well_formed(note: Note):
    assert {"id", "now", "tz", "text", "kind_tags", "hard", "gold"} <= note.keys()
    assert note.keys() <= {"id", "now", "tz", "text", "kind_tags", "hard", "gold", "unit", "before", "tuned"}
    ZoneInfo(note["tz"])
    now = datetime.fromisoformat(note["now"])
    assert isinstance(note["hard"], bool)
    assert note["gold"]["asks"] in (True, False, None)
    if "before" in note:
        assert datetime.fromisoformat(note["before"]["now"]) <= now
    for entry in note["gold"]["entries"]:
        check_entry(entry, now.replace(tzinfo=ZoneInfo(note["tz"])))


def check_entry(entry: dict[str, Any], now: datetime) -> None:
    kind = entry["kind"]
    assert kind in KINDS
    for key in {"at", "from", "to"} & entry.keys():
        if entry[key] is not None:
            assert datetime.fromisoformat(entry[key]).utcoffset() is not None
            assert 0 < entry[f"{key}_tol_min"] <= 180
            assert datetime.fromisoformat(entry[key]) <= now, "a note tells of what has been"
    assert set(entry.get("slot", [])) <= SLOTS
    assert set(entry.get("about", [])) <= set(get_args(About))
    if kind in EXACT:
        assert set(entry["what"]) <= EXACT[kind]
    if "mmol" in entry:
        assert 2 < entry["mmol"] < 28
    if entry.get("minutes") is not None:
        low, high = entry["minutes"]
        assert 0 < low <= high
    for item in entry.get("items") or []:
        check_item(item)


def check_item(item: dict[str, Any]) -> None:
    assert item["names"]
    assert all(name == name.lower().strip() for name in item["names"])
    low, high = item["grams"]
    assert 0 <= low < high
    if item["carbs_g"] is not None:
        carbs_low, carbs_high = item["carbs_g"]
        assert 0 <= carbs_low < carbs_high <= high * 1.1 + 5
    for part in item.get("parts", []):
        check_item(part)
