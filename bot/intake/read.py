"""A file with readings, from its bytes to readings: the line of the work."""

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.intake.columns import Column, ask_which
from bot.intake.contents import read_tables
from bot.intake.joining import MOST_APART, FileReadings, Part, drop_other_quantities, join
from bot.intake.layout import Layout, find_layout
from bot.intake.rows import Rows
from bot.intake.specimens import Group, part_by_specimen
from bot.intake.tables import Table, column_of
from bot.intake.timing import AHEAD, read_times
from bot.intake.values import (
    ValueReader,
    find_unit,
    is_other_unit,
    is_plausible,
    judge_unit,
    read_number,
    unit_by_size,
)
from bot.intake.words import clean
from bot.model.errors import AskFile, BadFile
from bot.model.units import GlucoseUnit

_START = datetime(1970, 1, 1, tzinfo=UTC)
_MICRO = timedelta(microseconds=1)
MOST_OF_OTHER_SIZE = 10
"""Below one in so many a value of the other unit's size is a slip, not a second unit."""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What the person said, and where and when they are."""

    name: str
    zone: ZoneInfo
    unit: GlucoseUnit | None
    now: datetime | None
    column: str | None
    day_first: bool | None


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
    parts: list[Part] = []
    refused: list[BadFile] = []
    for table in chosen or tables:
        try:
            parts += _read_table(table, wanted)
        except AskFile:
            raise
        except BadFile as error:
            refused.append(error)
    if not parts:
        raise refused[0]
    return join(drop_other_quantities(parts), name, passed)


def _read_table(table: Table, wanted: _Wanted) -> list[Part]:
    name = wanted.name
    layout = find_layout(table, name, wanted.column)
    times = read_times(layout, name, zone=wanted.zone, now=wanted.now, day_first=wanted.day_first)
    groups, others = part_by_specimen(layout, times, table.part)
    read = [_read_group(group, wanted) for group in groups]
    problems = [*table.refused, *others, *(problem for rows, _, _ in read for problem in rows.problems())]
    if not any(rows.found or rows.limits for rows, _, _ in read):
        worst = max(problems, key=lambda problem: problem.rows)
        raise BadFile(
            f"{name} gave no readings: {worst.what} (line {worst.line}; rows like it: {worst.rows}); "
            "correct that and send it again."
        )
    columns = _name_columns(layout, table)
    parts = [
        Part(rows, unit, columns, [*layout.notes, *times.notes, *notes], layout.sure, table.part, group.blood)
        for group, (rows, unit, notes) in zip(groups, read, strict=True)
    ]
    parts[0].problems = sorted(problems, key=lambda problem: -problem.rows)
    parts[0].rows.skipped += sum(problem.rows for problem in [*table.refused, *others])
    return parts


def _read_group(group: Group, wanted: _Wanted) -> tuple[Rows, GlucoseUnit, list[str]]:
    """Go through rows of one kind; return them with their unit, and in words what was assumed."""
    layout, name = group.layout, wanted.name
    units, unit_notes = zip(*(_find_unit(layout, c, wanted.unit, name) for c in layout.glucose), strict=True)
    rows = Rows(group, [ValueReader(unit) for unit in units], wanted.zone.key)
    rows.go_through(None if wanted.now is None else (wanted.now + AHEAD - _START) // _MICRO)
    if rows.apart * MOST_APART > rows.both:
        raise ask_which(name, layout.glucose, f"and do not agree ({rows.seen})")
    notes = list(unit_notes[0])
    if len(layout.glucose) > 1:
        both = " and ".join(f"“{column.label}”" for column in layout.glucose)
        notes.append(f"{both} were read together")
    if rows.apart:
        notes.append(f"times at which they differ: {rows.apart}, “{layout.glucose[0].label}” was kept")
    if rows.differing:
        notes.append(f"times given twice with different values: {rows.differing}, the first was kept")
    return rows, units[0] or "mmol/L", notes


def _find_unit(
    layout: Layout, column: Column, asked: GlucoseUnit | None, name: str
) -> tuple[GlucoseUnit | None, list[str]]:
    """Return the unit of a column's values that name none themselves, and in words what was assumed.

    None: no unit is stated, and there are values of both sizes.
    """
    cells = [(cell or "", "") for cell in column_of(layout.rows, column.index)]
    if layout.unit is not None:
        units = column_of(layout.rows, layout.unit)
        cells = [(cell, unit or "") for (cell, _), unit in zip(cells, units, strict=True)]
    bare: list[float] = []
    named: Counter[GlucoseUnit] = Counter()
    for (cell, beside), count in Counter(cells).items():
        own = find_unit(cell) or find_unit(beside)
        if own is not None:
            named[own] += count
        elif not is_other_unit(beside) and (number := read_number(clean(cell))) is not None:
            bare += [number] * count
    declared = asked or layout.declared(column)
    if not bare:
        return (named.most_common(1)[0][0] if named else declared or layout.hinted or "mmol/L"), []
    if declared is None and layout.hinted is None:
        sizes = Counter(unit_by_size(number) for number in bare if is_plausible(number))
        if min(sizes["mmol/L"], sizes["mg/dL"]) * MOST_OF_OTHER_SIZE >= len(bare):
            both = " and ".join(f"{count} in {unit}" for unit, count in sizes.most_common())
            return None, [f"no unit is stated: judged by their size, {both}"]
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
    if layout.pricks:
        names["blood"] = ", ".join(column.label for column in layout.pricks)
    if layout.unit is not None:
        names["unit"] = layout.label(layout.unit)
    if table.made_of == "sheet":
        return {**names, "sheet": table.part}
    return {**names, "format" if table.made_of in {"JSON", "FHIR"} else "separator": table.made_of}
