"""Raw updates, put right so far that the library can read them and a turn can use them.

A field of another type than the messenger says is left out, and the rest is read. Nothing of what an update
says is logged.
"""

import logging
from collections.abc import Iterator
from contextlib import suppress
from typing import Any

from telegram import Update

_log = logging.getLogger(__name__)
_TYPES: dict[str, type | tuple[type, ...]] = {
    **dict.fromkeys(("text", "caption", "data", "file_id", "file_unique_id", "file_name", "type"), str),
    **dict.fromkeys(("update_id", "message_id", "date", "edit_date", "width", "height", "file_size"), int),
    **dict.fromkeys(("language_code", "username", "first_name", "mime_type"), str),
    **dict.fromkeys(("message", "edited_message", "chat", "from", "document", "reply_to_message"), dict),
    "callback_query": dict,
    "photo": list,
    "entities": list,
    "caption_entities": list,
}
"""What a field must be wherever it stands: the library takes anything, and a turn would break on it."""
_INSTEAD: dict[str, object] = {"date": 0, "first_name": "", "width": 0, "height": 0, "chat_instance": ""}
"""What stands for a field that the library insists on and that says nothing to us; an early date is none."""
_NEEDED = frozenset({"message_id", "date", "chat", "from", "id", "data", "message"})
"""What an update is nothing without."""


def legible(raw: object) -> dict[str, Any] | None:
    """Return a raw update without what in it cannot be read, its number at least; None where it has none.

    So one that nobody can read holds up no other.
    """
    if not isinstance(raw, dict) or type(raw.get("update_id")) is not int:
        return None
    found, left_out = {"update_id": raw["update_id"]}, 1
    with suppress(RecursionError):  # one that is nested without end
        right, left_out = _with_right_types(raw)
        if _is_readable(right):
            found = right
        else:
            found = next(filter(_is_readable, _each_without_one(right)), found)
            left_out += 1
    if left_out:
        _log.error("%d parts of update %d cannot be read and are left out", left_out, raw["update_id"])
    return found


def _with_right_types(raw: dict[str, Any]) -> tuple[dict[str, Any], int]:
    """Return a part of an update without fields of a wrong type, and how many these were."""
    right, left_out = {}, 0
    for name, value in raw.items():
        if not _is_right(name, value):
            left_out += 1
            if name in _INSTEAD:
                right[name] = _INSTEAD[name]
        elif isinstance(value, dict):
            right[name], inner = _with_right_types(value)
            left_out += inner
        elif isinstance(value, list) and name in _TYPES:
            parts = [_with_right_types(part) for part in value if isinstance(part, dict)]
            kept = [part for part, _ in parts if name != "photo" or "file_id" in part]
            left_out += sum(inner for _, inner in parts) + len(value) - len(kept)
            if kept or not value:
                right[name] = kept
        else:
            right[name] = value
    return right, left_out


def _is_right(name: str, value: object) -> bool:
    if name in ("chat", "from"):
        return isinstance(value, dict) and type(value.get("id")) is int
    if name == "photo" and not value:
        return False
    if type(value) is bool:
        return name not in _TYPES
    return isinstance(value, _TYPES.get(name, object))


def _each_without_one(raw: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Give an update without one of the parts of its message, for each part that it can do without."""
    for kind, part in raw.items():
        if not isinstance(part, dict):
            continue
        for name, value in part.items():
            if name not in _NEEDED:
                yield raw | {kind: {other: part[other] for other in part if other != name}}
            elif isinstance(value, dict):
                for without in _each_without_one({name: value}):
                    yield raw | {kind: part | without}


def _is_readable(raw: dict[str, Any]) -> bool:
    try:
        Update.de_json(raw, None)
    except (KeyError, ValueError, TypeError, AttributeError, OverflowError, OSError, RecursionError):
        return False
    return True
