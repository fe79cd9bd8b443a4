"""What was understood in one short line an entry, so that many notes fit a table."""

from datetime import datetime
from zoneinfo import ZoneInfo

from bot.foodtable import FoodTable
from bot.model.entries import (
    Activity,
    Correction,
    Entry,
    Feeling,
    Item,
    Meal,
    Nothing,
    Question,
    Reading,
    Sensor,
    Sleep,
    Sync,
    Understood,
)
from bot.understanding import Context, reading, understand

_STANDING = {reading.HOW_TO_SAY: "HOW TO SAY IT", reading.NO_WORDS: "NO WORDS"}
_STANDING |= {reading.WHAT_TO_CHANGE: "WHAT TO CHANGE"}
VIENNA = ZoneInfo("Europe/Vienna")


def context_at(now: str, table: FoodTable, zone: ZoneInfo = VIENNA, **others: object) -> Context:
    """Build a context; `now` is a wall-clock time in `zone`, a bare "08:00" is on Monday 2 March 2026."""
    stamp = now if "T" in now else f"2026-03-02T{now}"
    return Context(datetime.fromisoformat(stamp).replace(tzinfo=zone), zone, table, **others)


def read(text: str, context: Context) -> str:
    """Understand a note and put it compactly: entries joined by " | ", then "? " and each question."""
    return compact(understand(text, context), context.zone)


def compact(understood: Understood, zone: ZoneInfo) -> str:
    """Put entries and questions in one line."""
    parts = [entry_line(entry, zone) for entry in understood.entries]
    if not any(isinstance(entry, Nothing) for entry in understood.entries):
        parts += [f"left “{said}”" for said in understood.left_out]
    parts += [f"told {told.what} {told.value}" for told in understood.told]
    parts += [] if understood.choice is None else ["which"]
    return " | ".join(parts + [f"? {_STANDING.get(ask, ask)}" for ask in understood.asks])


def entry_line(entry: Entry, zone: ZoneInfo) -> str:
    """Put one entry in short: "~" marks amounts and times that were not said, "!" foods not known."""
    match entry:
        case Meal():
            foods = [item_text(item) for item in entry.items]
            foods += [f"+{e.name}" + ("" if e.grams is None else f" {e.grams:g}") for e in entry.extras]
            order = " in order" if entry.eaten_in_order else ""
            return f"{entry.slot} {when(entry.at, entry.timed, zone)}{order}: {', '.join(foods)}"
        case Activity():
            minutes = "" if entry.minutes is None else f" {entry.minutes:g} min"
            return f"{entry.effort} {entry.what}{minutes} {when(entry.at, entry.timed, zone)}"
        case Reading():
            return f"{entry.mmol:.2f} {when(entry.at, entry.timed, zone)}"
        case Sleep():
            return f"sleep {when(entry.from_at, 'stated', zone)} to {when(entry.to_at, 'stated', zone)}"
        case Sync():
            return f"sync {when(entry.at, 'stated', zone)}"
        case Sensor() | Feeling():
            return f"{type(entry).__name__.lower()} {entry.what} {when(entry.at, 'stated', zone)}"
        case Question():
            since, until = (when(at, "stated", zone) for at in (entry.since, entry.until))
            return f"{entry.about} {entry.subject or '*'} {since} to {until}"
        case Correction():
            said = [item_text(item) for item in entry.items]
            said += [when(entry.at, "stated", zone)] if entry.at else []
            said += [entry.slot] if entry.slot else []
            if entry.minutes is not None:
                return f"{entry.what} {entry.minutes:g} min"
            return f"{entry.what}{': ' if said else ''}{', '.join(said)}"
        case Nothing():
            return f"nothing “{entry.said}”"


def item_text(item: Item) -> str:
    """Put one item in short."""
    known = "" if item.food else "!"
    return f"{item.name} {round(item.grams, 1):g}{'' if item.stated else '~'}{known}"


def when(at: datetime | None, timed: str, zone: ZoneInfo) -> str:
    """Put an instant in short: the day of the month only when it is not the 2nd."""
    mark = {"now": "~", "slot": "~slot", "stated": ""}[timed]
    if at is None:
        return "-"
    local = at.astimezone(zone)
    day = "" if (local.year, local.month, local.day) == (2026, 3, 2) else f"{local:%d.}"
    return f"{day}{local:%H:%M}{mark}"
