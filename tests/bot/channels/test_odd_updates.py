"""Updates whose fields are of the wrong type, or whose dates cannot be true, break and date nothing."""

import copy
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from telegram import Update

from bot.channels.telegram_legible import legible
from bot.channels.telegram_updates import read_update, says_something

NOW = datetime(2026, 3, 3, 11, tzinfo=UTC)
ME = {"id": 5, "type": "private", "first_name": "Ida", "is_bot": False}
MESSAGE: dict[str, Any] = {"message_id": 1, "date": int(NOW.timestamp()), "chat": ME, "from": ME}
UPDATES: dict[str, dict[str, Any]] = {
    "text": {"update_id": 1, "message": MESSAGE | {"text": "two eggs"}},
    "photo": {
        "update_id": 2,
        "message": MESSAGE
        | {
            "caption": "lunch",
            "photo": [{"file_id": "a", "file_unique_id": "b", "width": 9, "height": 9, "file_size": 9}],
        },
    },
    "press": {
        "update_id": 3,
        "callback_query": {
            "id": "7",
            "from": ME,
            "chat_instance": "x",
            "data": "undo",
            "message": MESSAGE | {"text": "Noted."},
        },
    },
}
ODD: tuple[object, ...] = (8, True, None, "x", [], ["x"], {}, {"x": 1}, -1.5)


def _places(raw: object, path: tuple[object, ...] = ()) -> Iterator[tuple[object, ...]]:
    parts = raw.items() if isinstance(raw, dict) else enumerate(raw) if isinstance(raw, list) else ()
    for name, value in parts:
        yield (*path, name)
        yield from _places(value, (*path, name))


def _with(raw: dict[str, Any], path: tuple[Any, ...], value: object) -> dict[str, Any]:
    changed = copy.deepcopy(raw)
    at: Any = changed
    for name in path[:-1]:
        at = at[name]
    at[path[-1]] = value
    return changed


NEEDED = ("update_id", "message_id", "chat", "from", "id", "message", "callback_query", "chat_instance")
"""What an update is nothing without: there it may be left out whole."""
HOLD = {"text": "text", "photo": "photo", "press": "data"}


@pytest.mark.parametrize("kind", UPDATES)
def test_a_field_of_any_wrong_type_is_left_out_and_the_rest_is_read(kind: str) -> None:
    raw = UPDATES[kind]
    assert legible(raw) == raw
    for path in _places(raw):
        inside = {*path} & {"photo", HOLD[kind]}
        for value in ODD:
            kept = legible(_with(raw, path, value))
            if kept is None or set(kept) == {"update_id"}:
                assert path[-1] in NEEDED or path[-1] == "type", (path, value)
                continue
            update = Update.de_json(kept, None)
            if update.effective_chat is None or not (update.message or update.callback_query):
                assert path[-1] in NEEDED, (path, value)
                continue
            if not says_something(update):  # its text is what was odd
                assert inside, (path, value)
                continue
            incoming = read_update(update, NOW)
            assert isinstance(incoming.text, str), (path, value)
            assert isinstance(incoming.press or "", str), (path, value)
            if not inside and path[-1] != "caption":
                assert (incoming.text or incoming.press) == {
                    "text": "two eggs",
                    "photo": "lunch",
                    "press": "undo",
                }[kind]


@pytest.mark.parametrize("value", ODD)
@pytest.mark.parametrize("name", ["location", "sticker", "via_bot", "reply_markup", "forward_origin", "poll"])
def test_a_part_that_the_library_cannot_read_is_left_out(name: str, value: object) -> None:
    kept = legible(_with(UPDATES["text"], ("message", name), value))
    assert kept is not None
    assert read_update(Update.de_json(kept, None), NOW).text == "two eggs"


def test_what_hangs_on_a_press_stays_as_it_is() -> None:
    keys = {"inline_keyboard": [[{"text": "Undo", "callback_data": "undo:1"}], []]}
    raw = _with(UPDATES["press"], ("callback_query", "message", "reply_markup"), keys)
    assert legible(raw) == raw


@pytest.mark.parametrize("year", [1970, 2025, 2027, 2100, 9000])
def test_a_date_far_from_the_clock_dates_nothing(year: int) -> None:
    far = int(NOW.replace(year=year).timestamp())
    update = Update.de_json(_with(UPDATES["text"], ("message", "date"), far), None)
    assert read_update(update, NOW).sent_at == NOW


@pytest.mark.parametrize("off", [timedelta(days=-20), timedelta(hours=-3), timedelta(hours=2)])
def test_a_message_that_waited_keeps_its_date(off: timedelta) -> None:
    raw = _with(UPDATES["text"], ("message", "date"), int((NOW + off).timestamp()))
    assert read_update(Update.de_json(raw, None), NOW).sent_at == NOW + off
