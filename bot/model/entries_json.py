"""Entries as plain JSON values and back, without loss: what `understand` prints and what the store keeps.

Field names are those of the entries, but a night's instants are `from` and `to`, and what an item holds
stands beside its other fields. Instants are ISO 8601 with offset and come back in UTC, a day is an ISO 8601
date. `Nutrients` of which nothing is known is written like no nutrients at all, and comes back as None.
"""

from collections.abc import Mapping
from dataclasses import MISSING, asdict, fields
from datetime import UTC, date, datetime, tzinfo
from functools import cache
from typing import Any, TypeVar

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

KINDS: dict[str, type[Entry]] = {
    "meal": Meal,
    "activity": Activity,
    "reading": Reading,
    "sleep": Sleep,
    "sync": Sync,
    "sensor": Sensor,
    "feeling": Feeling,
    "skipped": Skipped,
    "question": Question,
    "correction": Correction,
    "none": Nothing,
}

_KIND_OF = {entry_type: kind for kind, entry_type in KINDS.items()}
_INSTANTS = {"at", "from_at", "to_at", "since", "until"}
_NESTED = {"also", "others"}
_WRITTEN_AS = {"from_at": "from", "to_at": "to"}
_NUTRIENTS = tuple(f.name for f in fields(Nutrients))
T = TypeVar("T")
_DERIVED = {"kind", "nutrients"}
_NEWER = "a newer tablenote may have written it"


def kind_of(entry: Entry) -> str:
    """Return the entry's kind as `understand --json` names it."""
    return _KIND_OF[type(entry)]


def to_json(entry: Entry, zone: tzinfo | None = None) -> dict[str, object]:
    """Return the entry as JSON values, instants in `zone` (UTC when None); a naive one is a ValueError."""
    data: dict[str, object] = {"kind": kind_of(entry)}
    for f in fields(entry):
        value = getattr(entry, f.name)
        if f.name in _INSTANTS:
            value = _write_instant(value, zone or UTC)
        elif isinstance(value, date) and not isinstance(value, datetime):
            value = value.isoformat()
        elif f.name == "after":
            value = None if value is None else to_json(value, zone)
        elif f.name in _NESTED:
            value = [to_json(other, zone) for other in value]
        elif f.name == "items":
            value = [_write_item(item) for item in value]
        elif f.name == "extras":
            value = [asdict(extra) for extra in value]
        data[_WRITTEN_AS.get(f.name, f.name)] = value
    if isinstance(entry, Meal):
        data["nutrients"] = asdict(entry.nutrients)
    return data


def from_json(data: Mapping[str, object]) -> Entry:
    """Return the entry that `to_json` wrote; a kind or field that is not known here is a ValueError."""
    kind = data.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        raise ValueError(f"the kind of entry {kind!r} is not known here; {_NEWER}")
    names = _names_of(kind)
    values: dict[str, Any] = {names.get(k, k): v for k, v in data.items() if k not in _DERIVED}
    for name in _INSTANTS & values.keys():
        values[name] = _read_instant(values[name])
    if values.get("day_of") is not None:
        values["day_of"] = date.fromisoformat(values["day_of"])
    if values.get("after") is not None:
        values["after"] = from_json(values["after"])
    for name in _NESTED & values.keys():
        values[name] = tuple(from_json(other) for other in values[name])
    if "items" in values:
        values["items"] = tuple(_read_item(item) for item in values["items"])
    if "extras" in values:
        values["extras"] = tuple(_build(Extra, extra) for extra in values["extras"])
    return _build(KINDS[kind], values)


def _write_instant(at: datetime | None, zone: tzinfo) -> str | None:
    if at is None:
        return None
    if at.tzinfo is None:
        raise ValueError(f"{at} has no time zone")
    return at.astimezone(zone).isoformat()


def _read_instant(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text).astimezone(UTC)


def _write_item(item: Item) -> dict[str, object]:
    data = {f.name: getattr(item, f.name) for f in fields(item) if f.name != "nutrients"}
    return data | asdict(item.nutrients or Nutrients())


def _read_item(data: Mapping[str, Any]) -> Item:
    values = dict(data)
    held = [values.pop(name, None) for name in _NUTRIENTS]
    values["nutrients"] = None if all(v is None for v in held) else Nutrients(*held)
    return _build(Item, values)


def _build(part: type[T], values: Mapping[str, Any]) -> T:
    try:
        return part(**values)
    except TypeError as error:  # looked at only now: thousands are read for each one that does not fit
        raise ValueError(_what_is_wrong(part, values)) from error


def _what_is_wrong(part: Any, values: Mapping[str, Any]) -> str:
    """Return why values make no part of an entry."""
    name, known = part.__name__.lower(), {f.name: f for f in fields(part)}
    unknown = sorted(values.keys() - known.keys())
    if unknown:
        return f"the {name} field {unknown[0]!r} is not known here; {_NEWER}"
    needed = (n for n, f in known.items() if f.default is MISSING and f.default_factory is MISSING)
    return f"the {name} field {min(set(needed) - values.keys())!r} is missing"


@cache
def _names_of(kind: str) -> dict[str, str]:
    """Return the fields of a kind of entry by how they are written."""
    return {_WRITTEN_AS.get(f.name, f.name): f.name for f in fields(KINDS[kind])}
