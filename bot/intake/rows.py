"""The rows of a table, gone through once: readings, markers, repeats, and rows that give none."""

from collections.abc import Callable, Sequence
from datetime import UTC, datetime

from bot.intake.specimens import Group
from bot.intake.tables import RowProblem, column_of
from bot.intake.values import Flag, Refused, ValueReader

SAME_MMOL = 0.06
"""Two columns nearer than this are one glucose: rounded to tenths here, to whole mg/dL there."""

Value = float | Flag | Refused
_EMPTY = {"no value", "short"}
_TOO_SHORT = Refused("short", "the row ends before the glucose column")


class Rows:
    """Goes through the rows and counts what became of each.

    group: the rows, with their layout and times; values: a reader for each column of glucose
    found: mmol/L by instant (µs since 1970); limits: the markers by instant; specimens: where they are stated
    both, apart: instants at which two columns had a value, and those at which they did not agree; seen: the
    first such pair in words
    """

    def __init__(self, group: Group, values: list[ValueReader], zone_name: str) -> None:
        self._layout, self._times, self._zone_name = group.layout, group.times, zone_name
        self._specimens, self._readers = group.specimens, values
        self._problems: dict[str, RowProblem] = {}
        self.found: dict[int, float] = {}
        self.limits: dict[int, Flag] = {}
        self.specimens: dict[int, str] = {}
        self.skipped = self.duplicates = self.differing = self.both = self.apart = 0
        self.seen = ""

    def go_through(self, latest: int | None) -> None:
        """Sort each row into found, limit, duplicate or skipped; `latest` (µs) is the last to be found."""
        values, sources = self._read_values()
        instants: list[int] = []
        numbers: list[float] = []
        places: list[int] = []
        for place, (at, value) in enumerate(zip(self._times.instants, values, strict=True)):
            if at is not None and type(value) is float and (latest is None or at <= latest):
                instants.append(at)
                numbers.append(value)
                places.append(place)
            else:
                self._set_aside(place, at, value, latest)
        # of rows at one instant the first is kept: written last
        self.found = dict(zip(reversed(instants), reversed(numbers), strict=True))
        if len(self.found) < len(instants):
            self._count_repeats(instants, numbers, [sources[place] for place in places] if sources else None)
        if self._specimens is not None:
            said = [self._specimens[place] for place in places]
            self.specimens |= dict(zip(reversed(instants), reversed(said), strict=True))
        for at in self.limits.keys() & self.found.keys():
            self.duplicates += 1
            del self.limits[at]

    def problems(self) -> tuple[RowProblem, ...]:
        """Return the kinds of skipped rows, the most frequent first."""
        return tuple(sorted(self._problems.values(), key=lambda problem: -problem.rows))

    def _read_values(self) -> tuple[Sequence[Value], list[int]]:
        """Return each row's value; where several columns hold glucose also from which of them it is."""
        unit_at = self._layout.unit
        units = None if unit_at is None else column_of(self._layout.rows, unit_at)
        columns = [
            _read_column(reader.read, column_of(self._layout.rows, column.index), units)
            for column, reader in zip(self._layout.glucose, self._readers, strict=True)
        ]
        if len(columns) == 1:
            return columns[0], []
        chosen = [self._choose(row) for row in zip(*columns, strict=True)]
        return [row[source] for row, source in zip(zip(*columns, strict=True), chosen, strict=True)], chosen

    def _choose(self, values: tuple[Value, ...]) -> int:
        """Return which of a row's columns counts: the first with a number; further numbers are compared."""
        numbers = [source for source, value in enumerate(values) if isinstance(value, float)]
        if numbers:
            for other in numbers[1:]:
                self._compare(values[numbers[0]], values[other])
            return numbers[0]
        telling = (s for s, v in enumerate(values) if not isinstance(v, Refused) or v.kind not in _EMPTY)
        return next(telling, 0)

    def _compare(self, one: Value, other: Value) -> None:
        if isinstance(one, float) and isinstance(other, float):
            self.both += 1
            if abs(one - other) > SAME_MMOL:
                self.apart += 1
                self.seen = self.seen or f"{one:.1f} and {other:.1f} mmol/L at the same time"

    def _count_repeats(
        self, instants: Sequence[int], numbers: Sequence[float], sources: list[int] | None
    ) -> None:
        first: dict[int, int] = {}
        for place, at in enumerate(instants):
            known = first.setdefault(at, place)
            if known == place:
                continue
            self.duplicates += 1
            if sources and sources[known] != sources[place]:
                self._compare(numbers[known], numbers[place])
            else:
                self.differing += abs(numbers[known] - numbers[place]) > 1e-9

    def _set_aside(self, place: int, at: int | None, value: Value, latest: int | None) -> None:
        """Say of a row why it gives no reading, or keep its marker."""
        time = " ".join(self._times.texts[place].split())[:60]
        if at is None and self._times.walls[place] is not None:
            self._skip(place, "gap", f"{time} never was in {self._zone_name}, where the clocks went forward")
        elif at is None:
            row = self._layout.rows[place]
            if any(mark.isalnum() for cell in row for mark in cell):  # an empty or ruled line is no row
                what = f"“{time[:40]}” is not a date with a time" if time else "no date and time"
                self._skip(place, "time", what)
        elif isinstance(value, Refused):
            self._skip(place, value.kind, value.what)
        elif latest is not None and at > latest:
            self._skip(place, "future", f"{time} lies in the future")
        elif isinstance(value, Flag):
            self.duplicates += at in self.limits
            self.limits.setdefault(at, value)
            if self._specimens is not None:
                self.specimens.setdefault(at, self._specimens[place])

    def _skip(self, place: int, kind: str, what: str) -> None:
        self.skipped += 1
        known = self._problems.get(kind) or RowProblem(self._layout.lines[place], what, 0)
        self._problems[kind] = RowProblem(known.line, known.what, known.rows + 1)


def _read_column(
    read: Callable[[str, str], Value], cells: Sequence[str | None], units: Sequence[str | None] | None
) -> list[Value]:
    """Return the values of a column; each distinct cell is worked out only once."""
    if units is None:
        known = {cell: _TOO_SHORT if cell is None else read(cell, "") for cell in set(cells)}
        return [known[cell] for cell in cells]
    pairs = list(zip(cells, units, strict=True))
    paired = {
        (cell, unit): _TOO_SHORT if cell is None else read(cell, unit or "") for cell, unit in set(pairs)
    }
    return [paired[pair] for pair in pairs]


def to_instant(at: int) -> datetime:
    """Return µs since 1970 as an instant in UTC."""
    return datetime.fromtimestamp(at / 1_000_000, UTC)
