"""Entries in plain words that `understand` reads back to the same entry.

An entry without an instant is worded without a time, and read back it would be now. Grams are worded to a
tenth, glucose to a tenth of a mmol/L or a whole mg/dL, instants to the minute.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

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
    Skipped,
    Sleep,
    Sync,
)
from bot.model.units import GlucoseUnit, from_mmol
from bot.understanding.foods.labels import WORKED_OUT

_EFFORT = {"light": "easy", "moderate": "moderate", "hard": "hard"}


def word_entry(entry: Entry, zone: ZoneInfo, unit: GlucoseUnit = "mmol/L") -> str:
    """Return an entry in words, its times in `zone` and its glucose in `unit`."""
    match entry:
        case Meal():
            return _word_meal(entry, zone)
        case Activity():
            length = "" if entry.minutes is None else f" {entry.minutes:g} min"
            return f"{_EFFORT[entry.effort]} {entry.what}{length}{_at(entry.at, zone)}"
        case Reading():
            value = from_mmol(entry.mmol, unit)
            number = f"{value:.1f}" if unit == "mmol/L" else f"{value:.0f}"
            return f"{number} {unit}{_at(entry.at, zone)}"
        case Sleep(from_at=datetime() as start, to_at=datetime() as end):
            return f"slept {_stamp(start, zone)} to {_stamp(end, zone)}"
        case Sleep(from_at=datetime() as start):
            return f"went to bed{_at(start, zone)}"
        case Sleep():
            return f"woke{_at(entry.to_at, zone)}"
        case Sync():
            return f"synced{_at(entry.at, zone)}"
        case Sensor():
            return f"sensor {entry.what}{_at(entry.at, zone)}"
        case Feeling():
            return f"felt {entry.what}{_at(entry.at, zone)}"
        case Skipped():
            return f"no {entry.what}{_at(entry.at, zone)}"
        case Correction():
            return _word_correction(entry, zone)
        case Question() | Nothing():
            return entry.said


def _word_meal(meal: Meal, zone: ZoneInfo) -> str:
    foods = [_word_item(item) for item in meal.items]
    foods += [e.name if e.grams is None else f"{e.grams:.4g} g {e.name}" for e in meal.extras]
    when = "" if meal.at is None else f" {_stamp(meal.at, zone)}"
    return f"{meal.slot}{when}: {(', then ' if meal.eaten_in_order else ', ').join(foods)}"


def _word_item(item: Item) -> str:
    if not item.stated or not item.grams:
        return item.name
    return f"{round(item.grams, 1):g} g {item.name}"


def _word_correction(correction: Correction, zone: ZoneInfo) -> str:
    foods = ", ".join(_word_item(item) for item in correction.items)
    names = ", ".join(item.name for item in correction.items)
    match correction.what:
        case "amount" if correction.minutes is not None:
            return f"the movement was {correction.minutes:g} min"
        case "amount":
            return f"no, {foods}"
        case "add":
            return f"add {foods}"
        case "remove":
            return f"remove {names}"
        case "time":
            return f"it was{_at(correction.at, zone)}"
        case "slot":
            return f"that was {correction.slot}"
        case "order":
            return f"{names} first"
        case "name":
            return f"call this my {correction.name}"
        case "teach":
            return _word_teaching(correction)
        case "forget":
            return f"forget my {correction.name}"
        case "undo" | "note" | "fill":
            return "undo"


_FIGURES = (
    ("carbs_g", "g carbs"),
    ("fibre_g", "g fibre"),
    ("sugars_g", "g sugars"),
    ("protein_g", "g protein"),
    ("fat_g", "g fat"),
    ("saturated_fat_g", "g saturated fat"),
    ("energy_kcal", "kcal"),
)


def _word_teaching(correction: Correction) -> str:
    """Word what a food holds, or what a mixture is made of; a worked out energy is worked out again."""
    item = correction.items[0]
    if len(correction.items) > 1 or item.name != correction.name or item.nutrients is None:
        return f"my {correction.name} is {', '.join(_word_item(item) for item in correction.items)}"
    held = [(getattr(item.nutrients, field), name) for field, name in _FIGURES]
    said = [
        f"{value:g} {name}"
        for value, name in held
        if value is not None and not (name == "kcal" and item.assumed == WORKED_OUT)
    ]
    base = "" if item.stated else "per "
    return f"my {correction.name}: {base}{item.grams:g} g, {', '.join(said)}"


def _at(at: datetime | None, zone: ZoneInfo) -> str:
    return "" if at is None else f" at {_stamp(at, zone)}"


def _stamp(at: datetime, zone: ZoneInfo) -> str:
    """Word an instant; the second of two equal clock times, when clocks go back, needs its offset."""
    local = at.astimezone(zone)
    again = local.replace(fold=0).astimezone(UTC) != local.astimezone(UTC)
    return local.isoformat(sep=" ", timespec="minutes") if again else f"{local:%Y-%m-%d %H:%M}"
