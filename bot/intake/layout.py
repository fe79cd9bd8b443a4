"""How a table is laid out: its header, and which columns hold the times and the glucose."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from bot.intake.cells import SEPARATORS, glue_decimals, kind_of, split_lines, split_rows
from bot.intake.columns import (
    WIDEST,
    Column,
    find_glucose,
    find_offset_column,
    find_specimen_column,
    find_times,
    find_unit_column,
    look_at_columns,
    name_column,
)
from bot.intake.fhir import HEADINGS as FHIR_HEADINGS
from bot.intake.headings import glucose_score, time_score
from bot.intake.tables import Table, check_rows
from bot.intake.values import find_unit
from bot.intake.words import clean
from bot.model.errors import BadFile
from bot.model.units import GlucoseUnit

T = TypeVar("T")

_SAMPLE = 150  # how many of the first records are looked at; a third as many from the middle
_HEADER_WITHIN, _DATA_WITHIN = 100, 500  # records in which a header and the first reading must come


@dataclass(frozen=True, slots=True)
class Layout:
    """What the columns of a table hold.

    rows, lines: the records below the header and the lines they end on
    stamp: the column of full stamps, or of dates when `clock` is the column of clock times beside it
    offset: the column of offsets from UTC or of zone names; unit: the one that names the unit
    glucose: the columns of glucose, the main one first; sure: the score of its heading
    pricks: the columns of glucose from a finger, where others hold a sensor's
    specimen: the column of what was measured in
    hinted: the unit that the text above the table names
    """

    rows: list[list[str]]
    lines: Sequence[int]
    headings: list[str]
    stamp: int
    clock: int | None
    offset: int | None
    glucose: list[Column]
    pricks: list[Column]
    sure: int
    unit: int | None
    specimen: int | None
    hinted: GlucoseUnit | None
    notes: list[str]

    def label(self, column: int) -> str:
        """Return the heading of a column, or its number in words."""
        return name_column(self.headings, column)

    def declared(self, column: Column) -> GlucoseUnit | None:
        """Return the unit that a column's heading names."""
        return find_unit(column.heading)


def find_layout(table: Table, name: str, asked: str | None) -> Layout:
    """Find the layout of a table; BadFile says what was missing when it holds no readings.

    asked: the column of glucose that the person chose
    """
    rows, lines = table.rows, table.lines
    headings = table.headings
    first, below = 0, list[str]()
    if headings is None:
        head = _find_header(rows, table.made_of)
        headings = [clean(cell) for cell in rows[head]] if head is not None else []
        first = 0 if head is None else head + 1
        # what else stands above the table, such as a second heading with the units
        while first < min(len(rows), _DATA_WITHIN) and _is_words(rows[first]):
            if headings and len(rows[first]) == len(headings):
                below = below or [clean(cell) for cell in rows[first]]
            first += 1
    rows, lines, above = rows[first:], lines[first:], rows[:first]
    notes = list(table.notes)
    if table.made_of == SEPARATORS[","]:
        notes += _mend_decimals(rows, headings)
    columns = look_at_columns(_sample(rows), headings, below)
    if table.headings is FHIR_HEADINGS:
        return Layout(rows, lines, headings, 0, None, None, [columns[1]], [], 3, 2, 3, None, notes)
    offset = find_offset_column(columns)
    columns = [c for c in columns if c.index != offset]
    stamp, clock = find_times(columns, name)
    columns = [c for c in columns if c.index not in {stamp, clock}]
    found = find_glucose(columns, name, asked)
    columns = [c for c in columns if c not in found.columns and c not in found.pricks]
    unit = find_unit_column(columns)
    specimen = find_specimen_column([c for c in columns if c.index != unit], rows)
    hinted = find_unit(" ".join(" ".join(row) for row in above))
    return Layout(
        rows, lines, headings, stamp, clock, offset, found.columns, found.pricks, found.sure, unit, specimen,
        hinted, notes + found.notes,
    )  # fmt: skip


def read_text(text: str, name: str) -> Table:
    """Return a delimited text as a table; BadFile when no line holds a time and a value."""
    check_rows(text.count("\n"), name)
    lines = split_lines(text.rstrip("\r\n"))
    check_rows(len(lines), name)
    separator = _find_separator(lines, name)
    rows, ends = split_rows(lines, separator)
    return Table(rows, ends, SEPARATORS[separator])


def _find_separator(lines: Sequence[str], name: str) -> str:
    """Return the separator that parts the most lines into a time and a value."""
    sample = _sample([line for line in lines if line.strip()])
    found = {
        separator: sum(_is_data(row, separator) for row in split_rows(sample, separator)[0])
        for separator in SEPARATORS
    }
    best = max(found, key=lambda separator: found[separator])  # of equals the first
    if not found[best]:
        _say_what_lacks(sample, name)
        opening = next((line.strip() for line in lines if line.strip()), "")
        shown = opening[:40] + ("…" if len(opening) > 40 else "")
        raise BadFile(
            f"{name} holds no readings: no line has a time and a glucose value (it begins “{shown}”); "
            "export the readings as CSV text and send that."
        )
    return best


def _say_what_lacks(sample: Sequence[str], name: str) -> None:
    """Raise BadFile when lines have a value, but a clock time without a day or a day without a clock time."""
    for separator in SEPARATORS.keys() - {" "}:
        for row in split_rows(sample, separator)[0]:
            kinds = {kind_of(cell) for cell in row[:WIDEST]}
            if "value" in kinds and ("clock" in kinds) != ("date" in kinds):
                seen = "a clock time but no day" if "clock" in kinds else "a day but no clock time"
                raise BadFile(
                    f"{name} holds no readings: its lines have {seen}; export the readings with both and "
                    "send that."
                )


def _is_data(row: Sequence[str], separator: str = "") -> bool:
    kinds = [kind_of(cell) for cell in row[:WIDEST]]
    clocked = "clock" in kinds or kinds.count("value") > 1  # clock times can look like numbers
    if separator and kinds[:1] == ["clock"] and kinds.count("value") > 1:
        return True  # days may run across
    timed = not {"stamp", "epoch", "serial"}.isdisjoint(kinds) or ("date" in kinds and clocked)
    # Words parted by blanks are a table only when each line begins with its time: a letter is no table.
    return (
        timed
        and ("value" in kinds or "flag" in kinds)
        and (separator != " " or kinds[0] in {"date", "epoch", "stamp"})
    )


def _is_words(row: Sequence[str]) -> bool:
    return all(kind_of(cell) in {"text", "nothing"} for cell in row[:WIDEST])


def _first_data(rows: Sequence[Sequence[str]]) -> int:
    return next((i for i, row in enumerate(rows[:_DATA_WITHIN]) if _is_data(row)), len(rows))


def _find_header(rows: Sequence[Sequence[str]], made_of: str) -> int | None:
    """Return the header's place: a row with words for time and glucose, or one of words above the data."""
    named = [i for i, row in enumerate(rows[:_HEADER_WITHIN]) if _names_columns(row)]
    for place in named:
        if _first_data(rows[place + 1 : place + 4]) < 3:
            return place
    above = _first_data(rows) - 1
    while above >= 0 and not any(map(clean, rows[above])):
        above -= 1
    if named:
        return named[-1]
    if above < 0 or made_of == SEPARATORS[" "]:
        return None
    words = [cell for cell in map(clean, rows[above]) if cell]
    return above if len(words) > 1 and all(kind_of(cell) == "text" for cell in words) else None


def _names_columns(row: Sequence[str]) -> bool:
    cells = [clean(cell) for cell in row[:WIDEST]]
    times = {i for i, cell in enumerate(cells) if cell and time_score(cell) > 0 and kind_of(cell) == "text"}
    glucose = {
        i for i, cell in enumerate(cells) if cell and glucose_score(cell) > 0 and kind_of(cell) == "text"
    }
    return bool(times and glucose) and len(times | glucose) > 1


def _mend_decimals(rows: list[list[str]], headings: Sequence[str]) -> list[str]:
    """Join values whose decimal comma is the separator too, where the number of cells gives it away."""
    sample = [row for row in _sample(rows) if len(row) > 1]
    if not sample:
        return []
    if headings:
        place = max(range(len(headings)), key=lambda i: glucose_score(headings[i]))
        wide = sum(len(row) == len(headings) + 1 for row in sample)
        parted = 2 * wide > len(sample) and glucose_score(headings[place]) > 0
        width = len(headings) + 1
    else:
        width = max(map(len, sample))
        place = width - 2
        tails = [row[-2:] for row in sample if len(row) == width]
        parted = all(
            kind_of(a) == "value"
            and a.strip().isdecimal()
            and 0 < int(a) < 34
            and b.strip().isdecimal()
            and len(b) == 1
            for a, b in tails
        )
    if not parted:
        return []
    glue_decimals([row for row in rows if len(row) == width], place)
    return ["commas stand for decimal points too (5,4 is 5.4)"]


def _sample(rows: Sequence[T]) -> list[T]:
    middle = max(_SAMPLE, len(rows) // 2)
    return [*rows[:_SAMPLE], *rows[middle : middle + _SAMPLE // 3]]
