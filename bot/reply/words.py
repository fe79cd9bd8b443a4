"""Log entries in words: what was noted, what was assumed, what changed."""

import re
from datetime import datetime, tzinfo

from bot.model.entries import (
    Activity,
    Feeling,
    Item,
    Meal,
    Nutrients,
    Reading,
    Sensor,
    Skipped,
    Sleep,
    Stored,
    Sync,
)
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers

PLACE = re.compile(
    r"\b(left|right)?\s*(upper |lower )?(arm|thigh|leg|belly|stomach|hip|buttock|chest|calf|side)\b"
    r"|\b(my|upper|lower) back\b"
)


def noted(entry: Stored, *, zone: tzinfo, unit: GlucoseUnit, now: datetime) -> str:
    """Say that an entry was stored, as it was understood."""
    match entry:
        case Meal():
            return _noted_meal(entry, zone, now)
        case Activity():
            length = "" if entry.minutes is None else f" {numbers.minutes(entry.minutes)}"
            return f"Noted: {entry.what}{length}{_when(entry.at, zone, now, entry.timed, 'from')}."
        case Reading():
            return f"Noted: {numbers.glucose_with_unit(entry.mmol, unit)}{_when(entry.at, zone, now)}."
        case Sleep():
            return f"Noted: {_sleep(entry, zone)}."
        case Sync():
            return f"Noted: synced{_when(entry.at, zone, now)}."
        case Sensor(what="started"):
            return (
                f"Noted: sensor on{_where(entry)}{_when(entry.at, zone, now)}. "
                "Its readings can be off in the first 24 hours."
            )
        case Sensor():
            return f"Noted: sensor off{_when(entry.at, zone, now)}."
        case Feeling():
            return f"Noted: {entry.what}{_when(entry.at, zone, now)}."
        case Skipped():
            when = _when(entry.at, zone, now)
            return f"Noted: no {entry.what}{when}; on other days I assume it as before."


def place_of(entry: Sensor) -> str:
    """Return where on the body a sensor was put, in the words it was said in; "" when it was not said."""
    found = PLACE.search(entry.said.lower())
    return "" if found is None else " ".join(found[0].removeprefix("my ").split())


def _where(entry: Sensor) -> str:
    place = place_of(entry)
    return f" your {place}" if place else ""


def _noted_meal(meal: Meal, zone: tzinfo, now: datetime) -> str:
    lines = [f"Noted {meal.slot}{_when(meal.at, zone, now, meal.timed, ',')}: {contents(meal)}."]
    if meal.eaten_in_order:
        lines.append("Eaten in that order.")
    if any(item.nutrients is not None for item in meal.items):
        lines.append(nutrients(meal.nutrients))
    lines += _assumed(meal.items)
    unknown = [item.name for item in meal.items if item.food is None]
    if unknown:
        names = join([f"“{name}”" for name in unknown])
        lines.append(
            f"I do not know {names}: kept by name, without nutrients. Teach it {teach_like(unknown[0])}; "
            "if it was no food, press Undo."
        )
    return "\n".join(lines)


def teach_like(name: str) -> str:
    """Say how to teach a food: like “my bar: 60 g, …”."""
    return f"like “my {name}: 60 g, 21 g carbs, 15 g protein, 9 g fat”"


def _assumed(items: tuple[Item, ...]) -> list[str]:
    said = [_name_assumed(item) for item in items if item.assumed]
    return [f"Assumed: {'; '.join(said)}."] if said else []


def _name_assumed(item: Item) -> str:
    """Put the food's name before what was assumed of it, unless that names it already ("dry oats")."""
    named = item.name.lower().split()[-1] in item.assumed.lower()
    return item.assumed if named else f"{item.name} {item.assumed}"


def contents(meal: Meal) -> str:
    """List a meal's foods with their amounts: oats 60 g, milk 206 g."""
    extras = [e.name if e.grams is None else f"{e.name} {numbers.grams(e.grams)}" for e in meal.extras]
    return ", ".join([_amount(item) for item in meal.items] + extras)


def _amount(item: Item) -> str:
    return f"{item.name} {numbers.grams(item.grams)}" if item.grams > 0 else item.name


def nutrients(total: Nutrients) -> str:
    """Word a meal's nutrients in one sentence; what is not known is left out."""
    parts = [
        (total.carbs_g, "g carbohydrate"),
        (total.fibre_g, "g fibre"),
        (total.protein_g, "g protein"),
        (total.fat_g, "g fat"),
        (total.energy_kcal, "kcal"),
    ]
    known = [f"{value:.0f} {name}" for value, name in parts if value is not None]
    return f"About {', '.join(known)}." if known else ""


def changed(before: Stored, after: Stored, *, zone: tzinfo, unit: GlucoseUnit, now: datetime) -> str:
    """Say what an amendment changed, old and new."""
    if not (isinstance(before, Meal) and isinstance(after, Meal)):
        old, new = (noted(e, zone=zone, unit=unit, now=now) for e in (before, after))
        if old == new:
            return "That changes nothing: " + new
        return f"Changed: {old.removeprefix('Noted: ').rstrip('.')} → {new.removeprefix('Noted: ')}"
    parts = _item_changes(before.items, after.items)
    if before.extras != after.extras:
        parts.append("extras " + (", ".join(e.name for e in after.extras) or "none"))
    if before.at != after.at and before.at is not None and after.at is not None:
        old = numbers.day_and_clock(before.at, zone, now)
        parts.append(f"{old} → {numbers.day_and_clock(after.at, zone, now)}")
    if before.slot != after.slot:
        parts.append(f"{before.slot} → {after.slot}")
    if not parts:
        return "That changes nothing: " + noted(after, zone=zone, unit=unit, now=now)
    when = "" if after.at is None else f" {numbers.day_and_clock(after.at, zone, now)}"
    lines = [f"Changed {after.slot}{when}: {'; '.join(parts)}."]
    if after.items and before.items != after.items:
        held = nutrients(after.nutrients)
        lines += [f"Now {held.removeprefix('About ')}"] if held else []
        lines += _assumed(tuple(item for item in after.items if item not in before.items))
    return "\n".join(lines)


def _item_changes(before: tuple[Item, ...], after: tuple[Item, ...]) -> list[str]:
    replaced = [(b, a) for b, a in zip(before, after, strict=False) if b.name != a.name]
    if len(before) == len(after) and len(replaced) == 1:
        return [f"{_amount(replaced[0][0])} → {_amount(replaced[0][1])}"]
    old = {item.name: item for item in before}
    new = {item.name: item for item in after}
    parts = [f"no {name}" for name in old if name not in new]
    for name, item in new.items():
        if name not in old:
            parts.append(f"{_amount(item)} added")
        elif item.grams != old[name].grams:
            parts.append(f"{name} {_weight(old[name])} → {_weight(item)}")
        elif (item.food is None) != (old[name].food is None):
            parts.append(f"{name} {'without' if item.food is None else 'with'} figures")
    return parts


def _weight(item: Item) -> str:
    return numbers.grams(item.grams) if item.grams > 0 else "no amount"


def _sleep(entry: Sleep, zone: tzinfo) -> str:
    if entry.from_at is None or entry.to_at is None:
        woke = f"woke {numbers.clock(entry.to_at, zone)}" if entry.to_at else "slept"
        return f"to bed {numbers.clock(entry.from_at, zone)}" if entry.from_at else woke
    return f"slept {numbers.clock(entry.from_at, zone)} to {numbers.clock(entry.to_at, zone)}"


def _when(at: datetime | None, zone: tzinfo, now: datetime, timed: str = "stated", lead: str = "at") -> str:
    if at is None:
        return ""
    assumed = " (time assumed)" if timed == "slot" else ""
    said = numbers.day_and_clock(at, zone, now)
    if lead == "at" and not said[0].isdigit():
        return f" {said}{assumed}"  # “at yesterday 19:00” is no English
    return f"{'' if lead == ',' else ' '}{lead} {said}{assumed}"
