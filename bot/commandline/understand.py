"""What the bot makes of a message, for the `understand` command: nothing is stored."""

import json
import logging
from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.foodtable import FoodTable, load_table
from bot.model.clock import SystemClock
from bot.model.entries import Correction, Entry, Meal, Understood
from bot.model.entries_json import to_json
from bot.model.errors import BadSetting
from bot.model.settings import read_zone
from bot.understanding import Context, understand, word_entry
from bot.understanding.foods.offers import offers_of, write_offers

_log = logging.getLogger(__name__)


def explain(
    text: str, *, now: str | None, tz: str, table: FoodTable | None = None
) -> tuple[Understood, ZoneInfo]:
    """Understand one message; BadSetting when `now` or `tz` cannot be read."""
    try:
        zone = read_zone(tz)
    except ValueError as error:
        raise BadSetting(str(error)) from None
    context = Context(now=_stamp(now, zone), zone=zone, table=table or load_table())
    return understand(text, context), zone


def _stamp(now: str | None, zone: ZoneInfo) -> datetime:
    if now is None:
        return SystemClock().now().astimezone(zone)
    try:
        stamp = datetime.fromisoformat(now)
    except ValueError:
        raise BadSetting(f"“{now[:40]}” is no date and time: write it like 2026-03-02T08:00") from None
    if not 1970 <= stamp.year < 9999:  # beyond, reckoning with it would leave the calendar
        raise BadSetting(f"“{now[:40]}” is no time at which anybody wrote: write it like 2026-03-02T08:00")
    return stamp.replace(tzinfo=zone) if stamp.tzinfo is None else stamp.astimezone(zone)


def explain_batch(path: Path, *, offers: bool = True) -> Iterator[dict[str, object]]:
    """Understand the messages of a file of JSON lines, in order.

    A line that is wrong, or whose understanding breaks, gives an "error", and the others go on; at the end
    BadSetting names the first that was wrong.

    offers: look for what unknown foods may be
    """
    table, wrong = load_table(), list[BadSetting]()
    try:
        with path.open(encoding="utf-8-sig") as rows:
            for number, row in enumerate(rows, start=1):
                if not row.strip():
                    continue
                try:
                    yield _explain_row(row, number, table, offers=offers)
                except BadSetting as error:
                    wrong.append(error)
                    yield {"line": number, "error": str(error)}
    except (OSError, UnicodeDecodeError) as error:
        raise BadSetting(f"{path} cannot be read: {error}") from None
    if wrong:
        raise wrong[0]


def _explain_row(row: str, number: int, table: FoodTable, *, offers: bool) -> dict[str, object]:
    try:
        note = json.loads(row)
        text, now, tz = note["text"], note.get("now"), note.get("tz", "UTC")
        if not (isinstance(text, str) and isinstance(tz, str) and isinstance(now, str | None)):
            raise TypeError
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise BadSetting(f"Line {number} is not a JSON object with id, now, tz and text.") from None
    try:
        understood, zone = explain(text, now=now, tz=tz, table=table)
        found = to_dict(understood, zone, table if offers else None)
    except BadSetting as error:
        raise BadSetting(f"Line {number}: {error}") from None
    except Exception as error:  # a fault of ours in one line is not to cost the others
        _log.exception("line %d broke", number)
        found = {"error": repr(error)}
    return {"id": note.get("id"), **found}


def to_dict(understood: Understood, zone: ZoneInfo, table: FoodTable | None = None) -> dict[str, object]:
    """Return what was understood as the object of `understand --json`, without its id.

    table: where to look for what an unknown food may be; None offers nothing, which is much quicker
    """
    return {
        "entries": [_with_offers(entry, to_json(entry, zone), table) for entry in understood.entries],
        "asks": list(understood.asks),
        "left_out": list(understood.left_out),
        "told": [{"kind": type(told).__name__.lower(), **asdict(told)} for told in understood.told],
    }


def _with_offers(entry: Entry, data: dict[str, object], table: FoodTable | None) -> dict[str, object]:
    if table is None or not isinstance(entry, Meal | Correction):
        return data
    written = data["items"]
    assert isinstance(written, list)
    items = [
        row if item.food is not None else row | {"offers": write_offers(offers_of(item, table))}
        for item, row in zip(entry.items, written, strict=True)
    ]
    return data | {"items": items}


def to_words(understood: Understood, zone: ZoneInfo, *, as_json: bool) -> str:
    """Return what was understood as JSON, or as a line for each entry and each question back."""
    if as_json:
        return json.dumps(to_dict(understood, zone, load_table()), ensure_ascii=False)
    said = [f"{to_json(entry)['kind']}: {word_entry(entry, zone)}" for entry in understood.entries]
    return "\n".join([*said, *(f"asks: {ask}" for ask in understood.asks)])
