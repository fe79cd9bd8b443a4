"""What was measured in: a file can hold a sensor's readings and values of blood side by side."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.intake.headings import names_other_quantity, specimen_of
from bot.intake.layout import Layout
from bot.intake.tables import RowProblem, column_of
from bot.intake.timing import Times
from bot.intake.values import is_nothing
from bot.intake.words import clean

BLOOD = frozenset({"capillary", "plasma", "serum", "blood"})
"""Specimens that no sensor measures in: such readings are kept apart from the sensor's."""


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that are of blood, or of the sensor; specimens: of each row, None where nothing is said."""

    layout: Layout
    times: Times
    specimens: Sequence[str] | None
    blood: bool


def part_by_specimen(layout: Layout, times: Times, label: str) -> tuple[list[Group], list[RowProblem]]:
    """Return the rows as groups of one kind each, and the rows that a column says to be no glucose at all.

    label: how the table is called, which may say what it was measured in
    """
    if layout.specimen is None and not layout.pricks:
        said = specimen_of(layout.glucose[0].heading) or specimen_of(label)
        if said not in BLOOD:
            return [Group(layout, times, None, False)], []
        return [Group(layout, times, [said] * len(layout.rows), True)], []
    groups: list[Group] = []
    refused: list[RowProblem] = []
    rows = range(len(layout.rows))
    in_sensor: Sequence[int] = rows
    if layout.specimen is not None:
        cells = [cell or "" for cell in column_of(layout.rows, layout.specimen)]
        specimens = {cell: specimen_of(cell) for cell in set(cells)}
        others = {cell for cell in specimens if names_other_quantity(cell)}
        kinds = [specimens[cell] for cell in cells]
        in_blood = [row for row in rows if kinds[row] in BLOOD]
        refused = _refuse(layout, [row for row in rows if cells[row] in others], cells)
        in_sensor = [row for row in rows if kinds[row] not in BLOOD and cells[row] not in others]
        if in_blood:
            groups.append(_take(layout, times, in_blood, kinds, blood=True))
    else:
        kinds = [""] * len(rows)
    for prick in layout.pricks:
        cells = [cell or "" for cell in column_of(layout.rows, prick.index)]
        filled = {row for row in in_sensor if not is_nothing(clean(cells[row]))}
        of_prick = replace(layout, glucose=[prick])
        specimen = specimen_of(prick.heading) or "blood"
        if filled:
            groups.append(_take(of_prick, times, sorted(filled), [specimen] * len(rows), blood=True))
        main = [column_of(layout.rows, column.index) for column in layout.glucose]
        in_sensor = [
            row
            for row in in_sensor
            if row not in filled or not all(is_nothing(clean(column[row] or "")) for column in main)
        ]
    if in_sensor:
        groups.insert(0, _take(layout, times, in_sensor, kinds, blood=False))
    return groups, refused


def _refuse(layout: Layout, rows: Sequence[int], cells: Sequence[str]) -> list[RowProblem]:
    if not rows:
        return []
    return [RowProblem(layout.lines[rows[0]], f"“{clean(cells[rows[0]])[:30]}” is not glucose", len(rows))]


def _take(layout: Layout, times: Times, rows: Sequence[int], kinds: Sequence[str], *, blood: bool) -> Group:
    specimens = [kinds[row] for row in rows]
    said = specimens if any(specimens) else None
    if len(rows) == len(layout.rows):
        return Group(layout, times, said, blood)
    part = replace(layout, rows=[layout.rows[row] for row in rows], lines=[layout.lines[row] for row in rows])
    taken = Times(
        [times.texts[row] for row in rows],
        [times.walls[row] for row in rows],
        [times.instants[row] for row in rows],
        times.notes,
    )
    return Group(part, taken, said, blood)
