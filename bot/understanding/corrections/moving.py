"""Changes of when, of a meal's name, of a typed value, and of what movement it was."""

from dataclasses import replace
from datetime import datetime, timedelta

from bot.language.times import write_clock
from bot.model.entries import (
    Activity,
    Correction,
    Feeling,
    Meal,
    Reading,
    Sensor,
    Sleep,
    Slot,
    Stored,
    Sync,
)
from bot.model.units import to_mmol
from bot.understanding.context import Context
from bot.understanding.corrections.change import Change
from bot.understanding.corrections.retiming import as_moment, move, set_night
from bot.understanding.corrections.shapes import Frame
from bot.understanding.corrections.splitting import name_by_hour, split
from bot.understanding.pieces.instants import is_ahead
from bot.understanding.pieces.pieces import Amount, Moment, SlotWord
from bot.understanding.pieces.slots import USUAL_TIME, fold_slots
from bot.understanding.pieces.times import fold_times
from bot.understanding.states.readings import HIGHEST_MMOL, LOWEST_MMOL
from bot.understanding.words.movements import find_movement
from bot.understanding.words.tokens import read_tokens


def retime(change: Change) -> Correction | str | None:
    """Move an entry to another time or day."""
    entry, frame, context = change.entry, change.frame, change.context
    if isinstance(entry, Sleep):
        night = set_night(entry, frame, context)
        return None if night is None else change.done("time", night, at=night.from_at or night.to_at)
    if frame.first("woke") or frame.first("abed"):
        return None
    by = frame.first("by")
    at: datetime | None
    if by is not None:
        minutes = by.piece.minutes if isinstance(by.piece, Amount) else None
        if minutes is None or entry.at is None:
            return None
        at = entry.at + timedelta(minutes=minutes) * (-1 if frame.first("before") else 1)
    else:
        moments = [e.piece for e in frame.all("to") if isinstance(e.piece, Moment)]
        if not isinstance(entry, Activity) and any(m.until is not None for m in moments):
            return None  # no meal lasts "0:30 until 6:20"
        at = move(entry, moments or _as_hour(frame), context, _slot_to(frame))
    if at is None:
        return None
    if is_ahead(at, context.now):
        local = at.astimezone(context.zone)
        return f"{write_clock(local)} is still to come: when was it? Say it like “it was at 8:15”."
    return split(change, at, _slot_to(frame)) or _timed(change, at, _slot_to(frame))


def _slot_to(frame: Frame) -> Slot | None:
    return next((e.piece.slot for e in frame.all("to") if isinstance(e.piece, SlotWord)), None)


def _as_hour(frame: Frame) -> list[Moment]:
    """Take a bare number for an hour: "6 not 5" about a meal at 5."""
    hour = frame.first("hour")
    moment = None if hour is None else as_moment(hour)
    return [] if moment is None else [moment]


def _timed(change: Change, at: datetime, slot: Slot | None) -> Correction | None:
    entry = change.entry
    if isinstance(entry, Meal):
        slot = slot or _named_by_hour(entry, at, change.context)
        after: Stored = replace(entry, at=at, timed="stated", slot=slot or entry.slot)
    elif isinstance(entry, Activity):
        minutes = _lasting(change.frame, entry)
        after = replace(entry, at=at, timed="stated", minutes=minutes)
    elif isinstance(entry, Reading):
        after = replace(entry, at=at, timed="stated")
    elif isinstance(entry, Sync | Sensor | Feeling):
        after = replace(entry, at=at)
    else:
        return None
    return change.done("time", after, at=at, slot=slot)


def _lasting(frame: Frame, entry: Activity) -> float | None:
    """Return how long a movement took, by the span that it is moved to: "11 till 12, I mean"."""
    spans = (e.piece for e in frame.all("to") if isinstance(e.piece, Moment) and e.piece.until is not None)
    span = next(spans, None)
    if span is None or span.until is None or span.hour is None or span.until.hour is None:
        return entry.minutes
    half_day = 12 * 60
    minutes = (span.until.hour - span.hour) * 60 + span.until.minute - span.minute
    return float(minutes % half_day) or entry.minutes


def _named_by_hour(meal: Meal, at: datetime, context: Context) -> Slot | None:
    """Return what a meal is called at another hour, None where it was called so by its eater."""
    said = fold_slots(fold_times(read_tokens(meal.said)), context.table)
    if not meal.said or meal.slot not in USUAL_TIME or any(isinstance(piece, SlotWord) for piece in said):
        return None
    named = name_by_hour(meal.items, at, context)
    return None if named == meal.slot else named


def rename_slot(change: Change) -> Correction | None:
    """Call a meal by another name: a snack that was lunch."""
    to = change.frame.first("to")
    if not isinstance(change.entry, Meal) or to is None or not isinstance(to.piece, SlotWord):
        return None
    slot = to.piece.slot
    apart = split(change, None, slot) if slot != change.entry.slot else None
    return apart or change.done("slot", replace(change.entry, slot=slot), slot=slot)


def set_value(change: Change) -> Correction | None:
    """Give a typed reading another value."""
    value = change.frame.first("value")
    if not isinstance(change.entry, Reading) or value is None or not isinstance(value.piece, Amount):
        return None
    said = value.piece.value
    if value.piece.unit not in ("", "mmol") or value.piece.article or value.piece.size:
        return None
    mmol = (
        said
        if LOWEST_MMOL <= said <= HIGHEST_MMOL and change.context.unit == "mmol/L"
        else to_mmol(said, "mg/dL")
    )
    if not LOWEST_MMOL <= mmol <= HIGHEST_MMOL:
        return None
    return change.done("amount", replace(change.entry, mmol=mmol))


def change_kind(change: Change) -> Correction | None:
    """Call a movement something else: a run that was a walk."""
    new = change.frame.first("new")
    if not isinstance(change.entry, Activity) or new is None:
        return None
    movement = find_movement(new.said.lower().split())
    if movement is None:
        return None
    return change.done(
        "amount", replace(change.entry, what=movement[0], effort=movement[1]), name=movement[0]
    )
