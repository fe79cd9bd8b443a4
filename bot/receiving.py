"""Readings that arrive: a file or typed values are stored, and the meals they complete are named."""

from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import pairwise
from typing import TypeVar

from bot.entries import Reading
from bot.errors import BadFile
from bot.intake import FileReadings, read_file
from bot.messages import Incoming, Outgoing
from bot.reminding import SENSOR_SILENT
from bot.reply import fixed, numbers
from bot.reply.reminders import say_night
from bot.store import Person, StoredReadings, Unit
from bot.units import GlucoseUnit

Result = TypeVar("Result")

GAP = timedelta(minutes=15)
"""Between two readings anything longer is said to be missing, unless a sensor gives them that seldom."""

MOST_HOLES = 2
JUST_READ = timedelta(minutes=30)

VERY_LOW_MMOL = 3.0
VERY_HIGH_MMOL = 11.1
"""Bounds for one caution: level 2 hypoglycaemia (ADA, Standards of Care, Table 6.2), and the random plasma
value that with symptoms calls for a doctor (ADA). Reference lines for a sensor, not a diagnosis."""


def receive_file(
    unit: Unit, person: Person, incoming: Incoming, glucose_unit: GlucoseUnit | None = None
) -> tuple[list[Outgoing], list[int]]:
    """Store a file of readings; return what to say and the ids of the meals that can now be scored."""
    assert incoming.file is not None
    file = incoming.file
    try:
        found = read_file(file.data, file.name, zone=person.zone, unit=glucose_unit, now=incoming.sent_at)
    except BadFile as error:
        return [Outgoing(person.id, str(error))], []
    if not found.readings:
        only = f"All {numbers.count(found.flagged, 'value')} in {file.name} were out of the sensor's range"
        return [Outgoing(person.id, f"{only}: there was nothing to store.")], []
    newest_before = unit.readings.last_at(person.id, source="file")
    stored, completed = store_file(unit, person, found, file.name, incoming)
    text = say_file(found, stored, person, incoming.sent_at, newest_before)
    return [Outgoing(person.id, text)], completed


def store_file(
    unit: Unit, person: Person, found: FileReadings, name: str, incoming: Incoming
) -> tuple[StoredReadings, list[int]]:
    """Store what a file held; return the counts and the ids of the meals it completed."""
    stamps = [r.at for r in found.readings if r.at is not None]

    def add() -> StoredReadings:
        return unit.readings.add(
            person.id,
            found.readings,
            source="file",
            at=incoming.sent_at,
            update_id=incoming.update_id,
            name=name,
        )

    return complete(unit, person, min(stamps), max(stamps), add)


def complete(
    unit: Unit, person: Person, first: datetime, last: datetime, add: Callable[[], Result]
) -> tuple[Result, list[int]]:
    """Run `add`, which stores readings between two instants; return its result and the meals it completed."""
    since, until = first - timedelta(hours=3), last + timedelta(minutes=1)
    before = _scored(unit, person, since, until)
    result = add()
    return result, sorted(_scored(unit, person, since, until) - before)


def _scored(unit: Unit, person: Person, since: datetime, until: datetime) -> set[int]:
    if not unit.log.between(person.id, ("meal",), since, until):
        return set()
    from bot.frames import servings_between

    return {s.entry_id for s in servings_between(unit, person, since, until) if s.evenness is not None}


def say_file(
    found: FileReadings,
    stored: StoredReadings,
    person: Person,
    now: datetime,
    newest_before: datetime | None,
) -> str:
    """Say what came of a file: new, known, flagged, skipped and why, what it covers and what is lost.

    newest_before: the newest reading on record before the file came, None when there was none
    """
    parts = [numbers.count(stored.stored, "new reading")]
    if stored.known:
        parts.append(f"{stored.known:,} known already")
    if found.flagged:
        parts.append(f"{found.flagged:,} out of the sensor's range")
    if found.skipped:
        parts.append(f"{found.skipped:,} skipped")
    lines = [", ".join(parts) + "."]
    lines += _say_cover(found, person, now)
    lines += _say_gap(newest_before, stored.first_at, _widest(found), person, now)
    if stored.differing:
        n = numbers.count(stored.differing, "known time")
        lines.append(f"{n} came with another value than before: I kept the first.")
    lines += [f"Line {p.line}: {p.what}." for p in found.problems[:2]]
    if newest_before is None:  # the same file layout comes every time: its assumptions are said once
        lines += [f"{w[0].upper()}{w[1:]}." for w in found.warnings[:3]]
    values = [reading.mmol for reading in found.readings]
    lines += caution(min(values), max(values), person.unit)
    if stored.last_at is not None and timedelta(0) <= now - stored.last_at < JUST_READ:
        lines += say_night(stored.last_at, person)
    return "\n".join(lines)


def _widest(found: FileReadings) -> timedelta:
    """Return how far apart two readings may be with nothing missing between them."""
    stamps = [r.at for r in found.readings if r.at is not None]
    apart = sorted(after - before for before, after in pairwise(stamps))
    return max(GAP, 2.5 * apart[len(apart) // 2]) if apart else GAP


def _say_cover(found: FileReadings, person: Person, now: datetime) -> list[str]:
    """Say from when to when a file has readings, and where it has none in between."""
    stamps = [r.at for r in found.readings if r.at is not None]
    widest = _widest(found)
    holes = [(before, after) for before, after in pairwise(stamps) if after - before > widest]
    first, last = (numbers.day_and_clock(at, person.zone, now) for at in (stamps[0], stamps[-1]))
    if first == last:
        return [f"From {first}."]
    if not holes:
        return [f"From {first} to {last}."]
    minutes = sum((after - before) / timedelta(minutes=1) for before, after in holes)
    widest_first = sorted(holes, key=lambda hole: hole[0] - hole[1])[:MOST_HOLES]
    named = [
        " to ".join(numbers.day_and_clock(at, person.zone, now) for at in hole)
        for hole in sorted(widest_first)
    ]
    more = [] if len(holes) <= MOST_HOLES else [f"{len(holes) - MOST_HOLES} shorter"]
    return [f"From {first} to {last}, but for {numbers.join([*named, *more])} ({numbers.minutes(minutes)})."]


def _say_gap(
    newest_before: datetime | None,
    first_at: datetime | None,
    widest: timedelta,
    person: Person,
    now: datetime,
) -> list[str]:
    """Say what lies between the readings known before and a file's first, when that is a hole."""
    if newest_before is None or first_at is None or not widest < first_at - newest_before < SENSOR_SILENT:
        return []
    start = numbers.day_and_clock(newest_before, person.zone, now)
    end = numbers.day_and_clock(first_at, person.zone, now)
    lost = numbers.minutes((first_at - newest_before) / timedelta(minutes=1))
    return [f"Missing: {start} to {end}, {lost} that the sensor no longer had."]


def caution(lowest: float, highest: float, unit: GlucoseUnit) -> list[str]:
    """Return the one caution that very low or very high readings call for, if any."""
    if lowest < VERY_LOW_MMOL:
        return [fixed.VERY_LOW.format(lowest=numbers.glucose_with_unit(lowest, unit))]
    if highest > VERY_HIGH_MMOL:
        return [fixed.VERY_HIGH.format(highest=numbers.glucose_with_unit(highest, unit))]
    return []


def caution_for(readings: list[Reading], unit: GlucoseUnit) -> list[str]:
    """Return the caution for typed readings."""
    values = [reading.mmol for reading in readings]
    return caution(min(values), max(values), unit) if values else []
