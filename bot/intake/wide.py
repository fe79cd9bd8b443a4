"""Tables that run across: a row for each day and a column for each clock time, or the other way round."""

from collections.abc import Sequence
from dataclasses import replace

from bot.intake.cells import kind_of
from bot.intake.columns import WIDEST
from bot.intake.tables import Table, check_rows
from bot.intake.words import clean

_WITHIN = 30  # rows in which the heading must come
_FEWEST = 3
_DOWN = {"clock": "date", "date": "clock"}  # what the rows begin with, by what stands across
_NAMES = {"clock": "time", "date": "date"}


def unfold(table: Table, name: str) -> Table:
    """Return a table that runs across as one of a reading a row; any other table as it is."""
    heads = [table.headings] if table.headings is not None else table.rows[:_WITHIN]
    for place, head in enumerate(heads):
        cells = [clean(cell) for cell in head[:WIDEST]]
        for kind, down in _DOWN.items():
            across = [i for i, cell in enumerate(cells) if kind_of(cell) == kind]
            if len(across) < _FEWEST:
                continue
            first = place + 1 if table.headings is None else 0
            begin = _find_column(table.rows[first:], down, across)
            if begin is not None:
                said = [cell for row in table.rows[: first - 1] for cell in row] if first else []
                said += [cell for i, cell in enumerate(cells) if i not in across and i != begin]
                return _write_down(table, name, first, begin, across, cells, (down, kind), said)
    return table


def _find_column(rows: Sequence[Sequence[str]], kind: str, across: Sequence[int]) -> int | None:
    """Return the column before the others in which most rows have their day, or their clock time."""
    sample = rows[:100]
    for column in range(across[0]):
        found = sum(column < len(row) and kind_of(row[column]) == kind for row in sample)
        if found and 2 * found >= len(sample):
            return column
    return None


def _write_down(
    table: Table,
    name: str,
    first: int,
    begin: int,
    across: Sequence[int],
    heads: Sequence[str],
    kinds: tuple[str, str],
    said: Sequence[str],
) -> Table:
    rows: list[list[str]] = []
    lines: list[int] = []
    check_rows((len(table.rows) - first) * len(across), name)
    for row, line in zip(table.rows[first:], table.lines[first:], strict=True):
        for column in across:
            if column < len(row) and row[column].strip():
                rows.append([row[begin], heads[column], row[column]])
                lines.append(line)
    words = " ".join(" ".join(said).split())
    headings = [_NAMES[kinds[0]], _NAMES[kinds[1]], words]
    return replace(table, rows=rows, lines=lines, headings=headings)
