"""A person's record as tables for a spreadsheet: readings, notes, foods, and meals with their measures."""

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import fields
from datetime import datetime, tzinfo

from analysis.results import Curve, Serving
from bot.model.entries import Meal, Nutrients
from bot.model.naming import title
from bot.model.units import MGDL_PER_MMOL
from bot.store import Logged
from bot.store.everything import Row

_NUTRIENTS = tuple(field.name for field in fields(Nutrients))
_CURVE = tuple(field.name for field in fields(Curve) if field.name not in ("flags", "missing", "variant"))


def write_readings(rows: Iterable[Row], zone: tzinfo) -> str:
    """Write the glucose readings, one a line, in both units."""
    head = ("at", "at_utc", "glucose_mmol_l", "glucose_mg_dl", "source", "flag", "specimen")
    lines = (
        (
            _local(row["at"], zone),
            row["at"].isoformat(),
            row["mmol"],
            None if row["mmol"] is None else round(row["mmol"] * MGDL_PER_MMOL),
            row["source"],
            row["flag"],
            row["specimen"],
        )
        for row in rows
    )
    return _write(head, lines)


def write_notes(entries: Sequence[Logged], zone: tzinfo) -> str:
    """Write every note, whatever it is of, with the words it came in."""
    head = ("id", "at", "kind", "what", "said", "noted_at")
    lines = (
        (
            logged.id,
            _local(logged.at, zone),
            logged.kind,
            title(logged.entry) if isinstance(logged.entry, Meal) else getattr(logged.entry, "what", ""),
            logged.entry.said,
            _local(logged.logged_at, zone),
        )
        for logged in entries
    )
    return _write(head, lines)


def write_foods(meals: Sequence[Logged], zone: tzinfo) -> str:
    """Write each food of each meal, with its grams and what they hold."""
    head = ("meal_id", "at", "slot", "said", "name", "food", "grams", "grams_low", "grams_high", "stated")
    lines = []
    for logged in meals:
        meal = logged.entry
        assert isinstance(meal, Meal)  # asked for by kind
        for item in meal.items:
            held = [None if item.nutrients is None else getattr(item.nutrients, name) for name in _NUTRIENTS]
            amounts = (item.grams, item.grams_low, item.grams_high, item.stated)
            names = (item.said, item.name, item.food)
            lines.append((logged.id, _local(logged.at, zone), meal.slot, *names, *amounts, *held))
    return _write((*head, *_NUTRIENTS), lines)


def write_meals(servings: Sequence[tuple[Serving, Logged]], zone: tzinfo) -> str:
    """Write each meal with the measures of its curve, or why it has none."""
    head = ("meal_id", "at", "meal", "evenness", "likely_low", "likely_high", "why_not", *_CURVE)
    lines = []
    for serving, logged in servings:
        assert isinstance(logged.entry, Meal)  # occasions are of meals
        score, curve = serving.evenness, serving.curve
        scored = (None,) * 3 if score is None else (score.score, score.low, score.high)
        measured = [None if curve is None else getattr(curve, name) for name in _CURVE]
        named = (logged.id, _local(logged.at, zone), title(logged.entry))
        lines.append((*named, *scored, serving.why_not or None, *measured))
    return _write(head, lines)


def _local(at: datetime, zone: tzinfo) -> str:
    return at.astimezone(zone).isoformat(timespec="minutes")


def _write(head: Sequence[str], lines: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    writer.writerows([_safe(value) for value in line] for line in lines)
    return out.getvalue()


def _safe(value: object) -> object:
    """Return a cell that no spreadsheet takes for a formula (OWASP, CSV injection)."""
    text = isinstance(value, str) and value.startswith(("=", "+", "-", "@", "\t", "\r"))
    return f"'{value}" if text else value
