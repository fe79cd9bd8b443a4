"""What the entry of a change is called on a button: lunch 12:30."""

from datetime import datetime

from bot.language.times import write_clock
from bot.model.entries import Activity, Correction, Feeling, Meal, Reading, Sensor, Sleep, Stored, Sync
from bot.understanding.context import Context


def name_entry(correction: Correction, context: Context) -> str:
    """Name the entry that a change would be of, for a button: lunch 12:30."""
    entry = _entry_of(correction, context)
    at = _instant(entry)
    local = None if at is None else at.astimezone(context.zone)
    if local is None:
        clock = ""
    elif local.date() == context.local_now.date():
        clock = f" {write_clock(local)}"
    else:
        clock = f" {local:%a} {write_clock(local)}"
    return f"{_kind_name(entry)}{clock}"


def _entry_of(correction: Correction, context: Context) -> Stored:
    return next(n.entry for n in context.noted if n.id == correction.target)


def began(correction: Correction, context: Context) -> float:
    """Return when the entry of a change began, to sort by."""
    at = _instant(_entry_of(correction, context))
    return 0.0 if at is None else at.timestamp()


def _kind_name(entry: Stored) -> str:
    if isinstance(entry, Meal):
        return entry.slot
    if isinstance(entry, Activity | Feeling):
        return entry.what
    return type(entry).__name__.lower()


def _instant(entry: Stored) -> datetime | None:
    if isinstance(entry, Sleep):
        return entry.from_at or entry.to_at
    assert isinstance(entry, Meal | Activity | Reading | Sync | Sensor | Feeling)
    return entry.at
