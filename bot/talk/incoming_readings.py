"""Readings that arrive: a file or typed values are stored, and the meals they complete are named."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import TypeVar

from bot.intake import FileReadings
from bot.intake.rows import to_instant
from bot.intake.specimens import BLOOD
from bot.language.texts import later, say, write_number
from bot.model.entries import Concern
from bot.model.errors import BadFile
from bot.model.messages import Incoming
from bot.model.naming import join
from bot.reminders.planning import kept_since, last_sensor
from bot.reminders.stages import SENSOR_SILENT
from bot.reminders.words import say_night
from bot.reply import numbers, words
from bot.reply.cautions import concerns_of_readings
from bot.store import Person, StoredReadings, Transaction
from bot.store.readings import MOST
from bot.store.records import Source

Result = TypeVar("Result")
_Columns = tuple[Sequence[int], Sequence[float | None], Sequence[str], Sequence[str]]
"""Instants (µs since 1970), values, flags and specimens."""

GAP = timedelta(minutes=15)
"""Between two readings anything longer is said to be missing, unless a sensor gives them that seldom."""

OF_READINGS = ("unit", "sensor", "readings")
"""What a newcomer need not be asked any more once readings came."""
FULL = later(
    "Nothing of {name} is stored: with it I'd hold more than {most} readings of you, which is the most. "
    "“Undo the file” takes out the last one that came."
)
MOST_HOLES = 2
JUST_READ = timedelta(minutes=30)
_MICRO = timedelta(microseconds=1)


def store_file(
    tx: Transaction,
    person: Person,
    found: FileReadings,
    name: str,
    incoming: Incoming,
    *,
    second: bool = False,
) -> tuple[StoredReadings, list[int]]:
    """Store what a file held; return the counts and the ids of the meals it completed.

    What was measured in blood is kept apart from the sensor's, as is a `second` sensor worn for comparison.
    """
    lots = _lots_of(found, second=second)

    def add(source: Source, columns: _Columns) -> StoredReadings:
        instants, mmol, flags, specimens = columns
        return tx.readings.add_columns(
            person.id,
            instants,
            mmol,
            flags=flags,
            specimens=specimens,
            source=source,
            at=incoming.sent_at,
            update_id=incoming.update_id,
            name=name,
        )

    first = to_instant(min(columns[0][0] for _, columns in lots))
    last = to_instant(max(columns[0][-1] for _, columns in lots))

    def add_all() -> StoredReadings:
        parts = [add(source, columns) for source, columns in lots]
        return StoredReadings(
            sum(part.stored for part in parts),
            sum(part.known for part in parts),
            sum(part.differing for part in parts),
            first,
            last,
        )

    return complete(tx, person, first, last, add_all)


def check_room(tx: Transaction, person: Person, found: FileReadings, name: str, *, second: bool) -> None:
    """See that what a file holds may be stored; BadFile where it is more than is kept of one person."""
    lots = [(source, columns[0]) for source, columns in _lots_of(found, second=second)]
    if not tx.readings.has_room(person.id, lots):
        most = write_number(f"{MOST:,}")
        raise BadFile(say(FULL, name=name, most=most))


def _lots_of(found: FileReadings, *, second: bool) -> list[tuple[Source, _Columns]]:
    """Return the readings of a file by their source, each in order of time; one without any is left out."""
    columns = _merge_limits(found)
    sensor: Source = "second" if second else "file"
    pricks = [place for place, specimen in enumerate(columns[3]) if specimen in BLOOD]
    if not pricks:
        return [(sensor, columns)]
    in_blood = set(pricks)
    rest = [place for place in range(len(columns[0])) if place not in in_blood]
    lots: list[tuple[Source, _Columns]] = [("meter", _take(columns, pricks))]
    return [*lots, (sensor, _take(columns, rest))] if rest else lots


def _merge_limits(found: FileReadings) -> _Columns:
    """Return instants, values, flags and specimens of a file, its markers among them, in order of time."""
    none = [""] * len(found.instants)
    if not found.limits:
        return found.instants, found.mmol, none, found.specimens or none
    values: list[tuple[int, float | None, str, str]] = list(
        zip(found.instants, found.mmol, none, found.specimens or none, strict=True)
    )
    values += [(_micros(limit.at), None, limit.what, limit.specimen) for limit in found.limits]
    values.sort(key=lambda row: row[0])
    instants, mmol, flags, specimens = zip(*values, strict=True)
    return instants, mmol, flags, specimens


def _take(columns: _Columns, places: Sequence[int]) -> _Columns:
    instants, mmol, flags, specimens = columns
    return (
        [instants[i] for i in places],
        [mmol[i] for i in places],
        [flags[i] for i in places],
        [specimens[i] for i in places],
    )


def _micros(at: datetime) -> int:
    return (at - to_instant(0)) // _MICRO


def complete(
    tx: Transaction, person: Person, first: datetime, last: datetime, add: Callable[[], Result]
) -> tuple[Result, list[int]]:
    """Run `add`, which stores readings between two instants; return its result and the meals it completed."""
    since, until = first - timedelta(hours=3), last + timedelta(minutes=1)
    before = _scored(tx, person, since, until)
    result = add()
    return result, sorted(_scored(tx, person, since, until) - before)


def _scored(tx: Transaction, person: Person, since: datetime, until: datetime) -> set[int]:
    if not tx.log.between(person.id, ("meal",), since, until):
        return set()
    from bot.frames.servings import servings_between

    return {s.entry_id for s in servings_between(tx, person, since, until) if s.evenness is not None}


def say_file(
    found: FileReadings,
    stored: StoredReadings,
    person: Person,
    now: datetime,
    newest_before: datetime | None,
    *,
    brief: bool = False,
) -> str:
    """Say what came of a file: new, known, flagged, skipped and why, what it covers and what is lost.

    newest_before: the newest reading on record before the file came, None when there was none
    brief: where all of it is as it should be, nothing is said ("")
    """
    parts = [numbers.count(stored.stored, "new reading")]
    if stored.known:
        parts.append(f"{stored.known:,} known already")
    if found.flagged:
        parts.append(f"{found.flagged:,} out of the sensor's range (flagged, no number)")
    if found.skipped:
        parts.append(f"{found.skipped:,} skipped")
    every, _, _, specimens = _merge_limits(found)
    # a finger-prick fills no gap of the sensor's
    instants = [at for at, of in zip(every, specimens, strict=True) if of not in BLOOD] or every
    widest = _widest(instants)
    is_plain = bool(stored.stored) and not (found.flagged or found.skipped or _holes(instants, widest))
    cover = ", ".join([*parts, _say_cover(instants, widest, person, now)]) + "."
    lines = [] if brief and is_plain else [cover]
    lines += _say_gap(newest_before, instants, widest, person, now)
    if stored.differing:
        n = numbers.count(stored.differing, "known time")
        lines.append(f"{n} came with another value than before: I kept the first.")
    lines += [f"Line {p.line}: {p.what}." for p in found.problems[:2]]
    if newest_before is None:  # the same file layout comes every time: its assumptions are said once
        lines += [f"{w[0].upper()}{w[1:]}." for w in found.warnings[:3]]
    if stored.last_at is not None and timedelta(0) <= now - stored.last_at < JUST_READ:
        lines += say_night(stored.last_at, person)
    return "\n".join(lines)


def _widest(instants: Sequence[int]) -> int:
    """Return how far apart (µs) two readings may be with nothing missing between them."""
    apart = sorted(after - before for before, after in pairwise(instants))
    gap = GAP // _MICRO
    return max(gap, 5 * apart[len(apart) // 2] // 2) if apart else gap


def _holes(instants: Sequence[int], widest: int) -> list[tuple[int, int]]:
    return [(before, after) for before, after in pairwise(instants) if after - before > widest]


def _say_cover(instants: Sequence[int], widest: int, person: Person, now: datetime) -> str:
    """Say from when to when a file has readings, and where it has none in between."""

    def say(start: int, end: int) -> str:
        return numbers.span(to_instant(start), to_instant(end), person.zone, now)

    holes = _holes(instants, widest)
    if len(instants) == 1:
        return numbers.day_and_clock(to_instant(instants[0]), person.zone, now)
    whole = say(instants[0], instants[-1])
    if not holes:
        return whole
    minutes = sum(after - before for before, after in holes) / 60e6
    widest_first = sorted(holes, key=lambda hole: hole[0] - hole[1])[:MOST_HOLES]
    named = [say(*hole) for hole in sorted(widest_first)]
    more = [] if len(holes) <= MOST_HOLES else [f"{len(holes) - MOST_HOLES} shorter"]
    return f"{whole}, but for {join([*named, *more])} ({numbers.minutes(minutes)})"


def _say_gap(
    newest_before: datetime | None, instants: Sequence[int], widest: int, person: Person, now: datetime
) -> list[str]:
    """Say what lies between the readings known before and the first after them, when that is a hole."""
    if newest_before is None:
        return []
    if not widest < instants[0] - _micros(newest_before) < SENSOR_SILENT // _MICRO:
        return []
    first_at = to_instant(instants[0])
    span = words.capital(numbers.span(newest_before, first_at, person.zone, now))
    lost = numbers.minutes((first_at - newest_before) / timedelta(minutes=1))
    return [f"{span} is lost: the sensor no longer had these {lost}."]


def newest_known(tx: Transaction, person: Person) -> datetime | None:
    """Return the newest reading on record, or when a sensor put on since then was warm; None without any."""
    newest = tx.readings.last_at(person.id, source="file")
    since = kept_since(last_sensor(tx, person), newest)
    if newest is None or since is None or since == newest:
        return newest
    from analysis.wear import WARM_UP_MIN

    return since + timedelta(minutes=WARM_UP_MIN)


def concerns_of_file(found: FileReadings) -> list[Concern]:
    """Return what the values of a file call for, those beyond the sensor's range among them."""
    limits = {limit.what for limit in found.limits}
    concerns = [Concern("low", 2)] if "low limit" in limits else []
    concerns += [Concern("high")] if "high limit" in limits else []
    return concerns + (concerns_of_readings(min(found.mmol), max(found.mmol)) if found.mmol else [])
