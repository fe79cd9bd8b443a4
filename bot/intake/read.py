"""A file with readings, from its bytes to readings: the line of the work."""

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Literal
from zoneinfo import ZoneInfo

from bot.entries import Reading
from bot.errors import AskFile, BadFile
from bot.intake.columns import Column, ask_which
from bot.intake.contents import read_tables
from bot.intake.headings import glucose_score
from bot.intake.layout import Layout, find_layout
from bot.intake.rows import Rows, to_instant
from bot.intake.tables import RowProblem, Table, column_of
from bot.intake.timing import AHEAD, read_times
from bot.intake.values import ValueReader, find_unit, judge_unit, read_number
from bot.intake.words import clean
from bot.units import GlucoseUnit

_START = datetime(1970, 1, 1, tzinfo=UTC)
_MICRO = timedelta(microseconds=1)
_MOST_PROBLEMS = 5
_MOST_APART = 20  # two columns are one glucose while at most one in so many of their pairs is apart


@dataclass(frozen=True, slots=True)
class Limit:
    """An instant at which the sensor was below or above its range, so that there is no number."""

    at: datetime
    what: Literal["low limit", "high limit"]


@dataclass(frozen=True)
class FileReadings:
    """What was read from one file.

    instants, mmol: the readings in order of time, each instant once: µs since 1970, and mmol/L
    unit: what the file was in
    columns: what was taken for "time" (and "date", "offset"), "glucose" and "unit", and what they came from
    flagged: how many `limits` there are: markers such as LO and HI, which are not turned into numbers
    skipped: rows that gave no reading; duplicates: rows whose instant an earlier row had already given
    problems: one for each kind of skipped row, the most frequent first
    warnings: what was assumed, in words
    specimens: what each reading was measured in, in their order ("interstitial", "capillary", "plasma",
    "blood", "body fluid" or ""); empty where the file does not say
    """

    instants: tuple[int, ...]
    mmol: tuple[float, ...]
    unit: GlucoseUnit
    columns: dict[str, str]
    flagged: int
    skipped: int
    duplicates: int
    problems: tuple[RowProblem, ...]
    warnings: tuple[str, ...]
    limits: tuple[Limit, ...] = ()
    specimens: tuple[str, ...] = ()

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """The readings as entries."""
        return tuple(
            [Reading(mmol, to_instant(at)) for at, mmol in zip(self.instants, self.mmol, strict=True)]
        )


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What the person said, and where and when they are."""

    name: str
    zone: ZoneInfo
    unit: GlucoseUnit | None
    now: datetime | None
    column: str | None
    day_first: bool | None


@dataclass(slots=True)
class _Part:
    """One table as it was read."""

    rows: Rows
    unit: GlucoseUnit
    columns: dict[str, str]
    problems: tuple[RowProblem, ...]
    warnings: list[str]
    sure: int
    label: str


def read_file(
    data: bytes,
    name: str,
    *,
    zone: ZoneInfo,
    unit: GlucoseUnit | None = None,
    now: datetime | None = None,
    column: str | None = None,
    day_first: bool | None = None,
) -> FileReadings:
    """Read the glucose readings in a file of any usual layout: text, workbook, JSON or FHIR, packed or not.

    Stamps without an offset are in `zone`; `unit` goes before whatever the file says; readings later than
    `now` are skipped. BadFile says in one sentence what was seen instead of readings, and what to do.
    Where only the person knows, AskFile asks: `column` names the column of glucose (or the sheet, or the file
    in an archive), `day_first` says whether 03/05 is in May.
    """
    wanted = _Wanted(name, zone, unit, now, column, day_first)
    tables, passed = read_tables(data, name)
    chosen = [table for table in tables if column and table.part.casefold() == column.strip().casefold()]
    if chosen:
        wanted = _Wanted(name, zone, unit, now, None, day_first)
    parts: list[_Part] = []
    refused: list[BadFile] = []
    for table in chosen or tables:
        try:
            parts.append(_read_table(table, wanted))
        except AskFile:
            raise
        except BadFile as error:
            refused.append(error)
    parts = _drop_other_quantities(parts)
    if not parts:
        raise refused[0]
    return _join(parts, name, passed)


def _read_table(table: Table, wanted: _Wanted) -> _Part:
    name = wanted.name
    layout = find_layout(table, name, wanted.column)
    times = read_times(layout, name, zone=wanted.zone, now=wanted.now, day_first=wanted.day_first)
    units, unit_notes = zip(*(_find_unit(layout, c, wanted.unit, name) for c in layout.glucose), strict=True)
    rows = Rows(layout, times, [ValueReader(unit) for unit in units], wanted.zone.key)
    rows.go_through(None if wanted.now is None else (wanted.now + AHEAD - _START) // _MICRO)
    if not rows.found and not rows.limits:
        worst = rows.problems()[0]
        raise BadFile(
            f"{name} gave no readings: {worst.what} (line {worst.line}; rows like it: {worst.rows}); "
            "correct that and send it again."
        )
    if rows.apart * _MOST_APART > rows.both:
        raise ask_which(name, layout.glucose, f"and do not agree ({rows.seen})")
    notes = [*layout.notes, *times.notes, *unit_notes[0]]
    if len(layout.glucose) > 1:
        both = " and ".join(f"“{column.label}”" for column in layout.glucose)
        notes.append(f"{both} were read together")
    if rows.apart:
        notes.append(f"times at which they differ: {rows.apart}, “{layout.glucose[0].label}” was kept")
    if rows.differing:
        notes.append(f"times given twice with different values: {rows.differing}, the first was kept")
    problems = sorted([*rows.problems(), *table.refused], key=lambda problem: -problem.rows)
    rows.skipped += sum(problem.rows for problem in table.refused)
    columns = _name_columns(layout, table)
    return _Part(rows, units[0], columns, tuple(problems), notes, layout.sure, table.part)


def _drop_other_quantities(parts: list[_Part]) -> list[_Part]:
    """Of several tables keep those about glucose, by their names and the words of their headings."""
    if len(parts) < 2:
        return parts
    scores = [glucose_score(part.label) for part in parts]
    named = [part for part, score in zip(parts, scores, strict=True) if max(score, part.sure) >= 2]
    return named or [part for part, score in zip(parts, scores, strict=True) if score >= 0] or parts


def _join(parts: list[_Part], name: str, passed: list[str]) -> FileReadings:
    """Return the tables of one file as one; AskFile when two of them do not agree."""
    main = parts[0]
    warnings = list(main.warnings)
    found, limits, specimens = main.rows.found, main.rows.limits, main.rows.specimens
    skipped, duplicates = main.rows.skipped, main.rows.duplicates
    for part in parts[1:]:
        rows = part.rows
        common = found.keys() & rows.found.keys()
        apart = [at for at in common if abs(found[at] - rows.found[at]) > 0.1]
        if len(apart) * _MOST_APART > len(common):
            labels = (main.label, part.label)
            raise AskFile(
                f"{name}: “{labels[0]}” and “{labels[1]}” hold different values for the same times; "
                "which one should I take?", "column", labels, " | ".join(labels),
            )  # fmt: skip
        duplicates += rows.duplicates + len(common) + len(limits.keys() & rows.limits.keys())
        skipped += rows.skipped
        found, specimens = rows.found | found, rows.specimens | specimens
        limits = {at: flag for at, flag in (rows.limits | limits).items() if at not in found}
        warnings += [note for note in part.warnings if note not in warnings]
    if len(parts) > 1:
        warnings.insert(0, "read together: " + ", ".join(f"“{part.label}”" for part in parts[:5]))
    problems = sorted((p for part in parts for p in part.problems), key=lambda problem: -problem.rows)
    order = sorted(found)
    return FileReadings(
        instants=tuple(order),
        mmol=tuple([found[at] for at in order]),
        unit=main.unit,
        columns=main.columns,
        flagged=len(limits),
        skipped=skipped,
        duplicates=duplicates,
        problems=tuple(problems[:_MOST_PROBLEMS]),
        warnings=(*warnings, *passed),
        limits=tuple(Limit(to_instant(at), limits[at].what) for at in sorted(limits)),
        specimens=tuple([specimens.get(at, "") for at in order]) if specimens else (),
    )


def _find_unit(
    layout: Layout, column: Column, asked: GlucoseUnit | None, name: str
) -> tuple[GlucoseUnit, list[str]]:
    """Return the unit of a column's values that name none themselves, and in words what was assumed."""
    unit_at, at = layout.unit, column.index
    cells = column_of(layout.rows, at)
    if unit_at is not None:
        units = column_of(layout.rows, unit_at)
        cells = [f"{cell or ''} {unit or ''}" for cell, unit in zip(cells, units, strict=True)]
    bare: list[float] = []
    named: Counter[GlucoseUnit] = Counter()
    for cell, count in Counter(cells).items():
        number, own = read_number(clean(cell or "")), find_unit(cell or "")
        if own is not None:
            named[own] += count
        elif number is not None:
            bare += [number] * count
    declared = asked or layout.declared(column)
    if not bare:
        return (named.most_common(1)[0][0] if named else declared or layout.hinted or "mmol/L"), []
    unit = judge_unit(bare, declared, "you" if asked else "the heading", layout.hinted, name)
    stated = declared or unit == layout.hinted
    return unit, [] if stated else [f"no unit is stated: judged by their size, the values are in {unit}"]


def _name_columns(layout: Layout, table: Table) -> dict[str, str]:
    """Return what each column was taken for, by its heading or its number, and what it came from."""
    names = {"time": layout.label(layout.stamp)}
    if layout.clock is not None:
        names = {"date": names["time"], "time": layout.label(layout.clock)}
    if layout.offset is not None:
        names["offset"] = layout.label(layout.offset)
    names["glucose"] = ", ".join(column.label for column in layout.glucose)
    if layout.unit is not None:
        names["unit"] = layout.label(layout.unit)
    if table.made_of == "sheet":
        return {**names, "sheet": table.part}
    return {**names, "format" if table.made_of in {"JSON", "FHIR"} else "separator": table.made_of}
