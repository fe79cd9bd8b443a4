"""One day's entries, a line and a button each: what the list of a day and its card show."""

from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo

from bot.model.entries import Activity, Feeling, Meal, Reading, Sensor, Skipped, Sleep, Sync
from bot.model.messages import Button
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.words import contents
from bot.store import Logged

ENTRY = "entry"
"""What a button that shows one entry with its fixes stands for; the entry's id follows."""
MOST_LINES = 24
MOST_BUTTONS = 24
MOST_LABEL = 24


def list_day(
    entries: Sequence[Logged], scores: Mapping[int, float], *, zone: tzinfo, unit: GlucoseUnit
) -> list[str]:
    """Return a line for each entry, oldest first, meals with their scores where they have one."""
    lines = [line_of(one, scores.get(one.id), zone=zone, unit=unit) for one in entries[:MOST_LINES]]
    more = len(entries) - len(lines)
    return lines if more <= 0 else [*lines, f"… and {more} more."]


def line_of(logged: Logged, score: float | None, *, zone: tzinfo, unit: GlucoseUnit) -> str:
    """Put an entry in a line: 12:30 lunch: cooked rice 200 g; evenness 61."""
    at = numbers.clock(logged.at, zone)
    match logged.entry:
        case Meal() as meal:
            scored = "" if score is None else f"; evenness {score:.0f}"
            return f"{at} {meal.slot}: {contents(meal)}{scored}"
        case Activity(what=what, minutes=minutes):
            return f"{at} {what}" + ("" if minutes is None else f", {numbers.minutes(minutes)}")
        case Reading(mmol=mmol):
            return f"{at} {numbers.glucose_with_unit(mmol, unit)}"
        case Sleep(from_at=start, to_at=end) if start is not None and end is not None:
            return f"{numbers.clock(start, zone)} to {numbers.clock(end, zone)} slept"
        case Sleep(to_at=end):
            return f"{at} {'to bed' if end is None else 'woke'}"
        case Sync():
            return f"{at} synced"
        case Sensor(what=what):
            return f"{at} sensor {'on' if what == 'started' else 'off'}"
        case Feeling(what=what):
            return f"{at} {what}"
        case Skipped(what=what):
            return f"{at} no {what}"


def fix_buttons(entries: Sequence[Logged], zone: tzinfo) -> tuple[Button, ...]:
    """Return a button for each entry, which brings it up with its fixes; of very many, for the newest."""
    return tuple(Button(_label(one, zone), f"{ENTRY}:{one.id}") for one in entries[-MOST_BUTTONS:])


def _label(logged: Logged, zone: tzinfo) -> str:
    at = numbers.clock(logged.at, zone)
    match logged.entry:
        case Meal(slot=slot):
            name: str = slot
        case Activity(what=what) | Feeling(what=what):
            name = what
        case Skipped(what=what):
            name = f"no {what}"
        case _:
            name = logged.kind
    return f"{at} {name}" if len(name) <= MOST_LABEL else f"{at} {name[: MOST_LABEL - 1]}…"


def say_when(at: datetime, zone: tzinfo, now: datetime) -> str:
    """Name a local day: today, yesterday, Mon 2 Mar."""
    days = (now.astimezone(zone).date() - at.astimezone(zone).date()).days
    return {0: "today", 1: "yesterday"}.get(days) or numbers.day(at, zone)
