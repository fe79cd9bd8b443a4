"""A table as every kind of file gives it: rows of cells in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.model.errors import BadFile

MAX_ROWS = 2_000_000
MAX_TABLES = 1_000
LONGEST = 200
"""So many characters of a cell or a name are kept where one text can stand in many rows: none that is read
has as many, and what is told of a cell is shorter."""


@dataclass(frozen=True, slots=True)
class RowProblem:
    """Rows that gave no reading: the first such line, what was wrong there, and how many are alike."""

    line: int
    what: str
    rows: int = 1


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells in words, wherever they came from.

    lines: the line (or row, or element) that each row ends on, counted from 1
    made_of: what the rows came from: "comma" and the like for delimited text, "sheet", "JSON", "FHIR"
    headings: the names of the columns where the format gives them; None: they may stand among the rows
    part: the sheet, the key or the file of an archive that it is; empty when it is all there is
    notes: what was assumed so far, in words; refused: rows that were left out already
    """

    rows: list[list[str]]
    lines: Sequence[int]
    made_of: str
    headings: list[str] | None = None
    part: str = ""
    notes: tuple[str, ...] = ()
    refused: tuple[RowProblem, ...] = ()


def column_of(rows: Sequence[Sequence[str]], index: int) -> Sequence[str | None]:
    """Return the cells of one column, None where a row ends before it."""
    try:
        return [row[index] for row in rows]
    except IndexError:
        return [row[index] if index < len(row) else None for row in rows]


def check_tables(count: int, name: str) -> None:
    """Raise BadFile when a file holds more tables than are looked at."""
    if count > MAX_TABLES:
        raise BadFile(f"{name} holds more than {MAX_TABLES:,} tables; send the one with the readings.")


def check_rows(count: int, name: str) -> None:
    """Raise BadFile when a table has more rows than are read."""
    if count > MAX_ROWS:
        raise BadFile(f"{name} has more than {MAX_ROWS:,} rows; send a shorter span of days.")
