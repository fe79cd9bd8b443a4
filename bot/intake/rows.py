"""The rows of a table, gone through once: readings, markers, repeats, and rows that give none."""

from datetime import UTC, datetime, timedelta

from bot.intake.layout import Layout
from bot.intake.tables import RowProblem
from bot.intake.timing import Times
from bot.intake.values import Flag, Refused, ValueReader
from bot.intake.words import clean

START = datetime(1970, 1, 1, tzinfo=UTC)
SAME_MMOL = 0.06
"""Two columns nearer than this are one glucose: rounded to tenths here, to whole mg/dL there."""

_EMPTY = {"no value", "short"}
_TOO_SHORT = Refused("short", "the row ends before the glucose column")


class Rows:
    """Goes through the rows and counts what became of each.

    values: a reader for each column of glucose, as their units can differ
    found: mmol/L by instant (µs since 1970); limits: the markers by instant; specimens: where they are stated
    both, apart: instants at which two columns had a value, and those at which they did not agree; seen: the
    first such pair in words
    """

    def __init__(self, layout: Layout, times: Times, values: list[ValueReader], zone_name: str) -> None:
        self._layout, self._times, self._zone_name = layout, times, zone_name
        self._columns = [(c.index, reader.read) for c, reader in zip(layout.glucose, values, strict=True)]
        self._from: dict[int, int] = {}
        self._problems: dict[str, RowProblem] = {}
        self.found: dict[int, float] = {}
        self.limits: dict[int, Flag] = {}
        self.specimens: dict[int, str] = {}
        self.skipped = self.duplicates = self.differing = self.both = self.apart = 0
        self.seen = ""

    def go_through(self, latest: int | None) -> None:
        """Sort each row into found, limit, duplicate or skipped; `latest` (µs) is the last to be found."""
        glucose, read = self._columns[0]
        unit, specimen = self._layout.unit, self._layout.specimen
        several = len(self._columns) > 1
        found, instants = self.found, self._times.instants
        for place, row in enumerate(self._layout.rows):
            at = instants[place]
            unit_text = row[unit] if unit is not None and unit < len(row) else ""
            if several:
                glucose, value = self._read_several(row, unit_text)
            else:
                value = read(row[glucose], unit_text) if glucose < len(row) else _TOO_SHORT
            if at is None:
                self._refuse_time(place, row)
            elif isinstance(value, Refused):
                self._skip(place, value.kind, value.what)
            elif latest is not None and at > latest:
                self._skip(place, "future", f"{self._time_of(row)} lies in the future")
            elif isinstance(value, Flag):
                self.duplicates += at in self.limits
                self.limits.setdefault(at, value)
            elif at in found:
                self.duplicates += 1
                if several and self._from[at] != glucose:
                    self._compare(found[at], value)
                else:
                    self.differing += abs(found[at] - value) > 1e-9
            else:
                found[at] = value
                if several:
                    self._from[at] = glucose
                if specimen is not None:
                    self.specimens[at] = row[specimen]
        for at in self.limits.keys() & found.keys():
            self.duplicates += 1
            del self.limits[at]

    def problems(self) -> tuple[RowProblem, ...]:
        """Return the kinds of skipped rows, the most frequent first."""
        return tuple(sorted(self._problems.values(), key=lambda problem: -problem.rows))

    def _read_several(self, row: list[str], unit_text: str) -> tuple[int, float | Flag | Refused]:
        """Return the first column with a value and that value; others in the row are compared with it."""
        values = [
            (index, read(row[index], unit_text) if index < len(row) else _TOO_SHORT)
            for index, read in self._columns
        ]
        numbers = [(index, value) for index, value in values if isinstance(value, float)]
        for _, other in numbers[1:]:
            self._compare(numbers[0][1], other)
        if numbers:
            return numbers[0]
        telling = [(i, v) for i, v in values if not isinstance(v, Refused) or v.kind not in _EMPTY]
        return telling[0] if telling else values[0]

    def _compare(self, one: float, other: float) -> None:
        self.both += 1
        if abs(one - other) > SAME_MMOL:
            self.apart += 1
            self.seen = self.seen or f"{one:.1f} and {other:.1f} mmol/L at the same time"

    def _refuse_time(self, place: int, row: list[str]) -> None:
        time = self._time_of(row)
        if self._times.stamps[place] is not None:
            self._skip(place, "gap", f"{time} never was in {self._zone_name}, where the clocks went forward")
        elif any(mark.isalnum() for cell in row for mark in cell):  # an empty or ruled line is no row
            what = f"“{time[:40]}” is not a date with a time" if time else "no date and time"
            self._skip(place, "time", what)

    def _skip(self, place: int, kind: str, what: str) -> None:
        self.skipped += 1
        known = self._problems.get(kind) or RowProblem(self._layout.lines[place], what, 0)
        self._problems[kind] = RowProblem(known.line, known.what, known.rows + 1)

    def _time_of(self, row: list[str]) -> str:
        places = (self._layout.stamp, self._layout.clock)
        words = " ".join(clean(row[place]) for place in places if place is not None and place < len(row))
        return " ".join(words.split())


def to_instant(at: int) -> datetime:
    """Return µs since 1970 as an instant in UTC."""
    return START + timedelta(microseconds=at)
