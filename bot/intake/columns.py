"""Which columns of a table hold the times, the glucose and its unit: by their headings and their content."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bot.errors import BadFile
from bot.intake.cells import Kind, clean, kind_of
from bot.intake.clocks import read_clock
from bot.intake.headings import glucose_score, is_utc, time_score
from bot.intake.stamps import split_stamp
from bot.intake.values import find_unit, is_plausible, read_number
from bot.units import MGDL_PER_MMOL

WIDEST = 60
"""How many columns are looked at."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the sample: its place, its heading, its cells and how many are of each kind."""

    index: int
    heading: str
    cells: tuple[str, ...]
    kinds: Counter[Kind]

    @property
    def label(self) -> str:
        """The heading, or the column's number in words."""
        return self.heading or f"column {self.index + 1}"

    @property
    def filled(self) -> int:
        """How many cells hold something."""
        return self.kinds.total() - self.kinds["nothing"]

    def holds(self, *kinds: Kind, named: bool = False) -> bool:
        """Say whether at least half of what it holds is of these kinds, or any where its heading says so."""
        found = sum(self.kinds[kind] for kind in kinds)
        return found > 0 and (named or 2 * found >= self.filled)

    def numbers(self) -> list[float | None]:
        """Return the number of each cell, None where it is not a value."""
        return [read_number(cell) if kind_of(cell) == "value" else None for cell in self.cells]


def look_at_columns(sample: Sequence[Sequence[str]], headings: Sequence[str]) -> list[Column]:
    """Return the columns of some records; short records count as empty in the columns they lack."""
    width = min(WIDEST, max(map(len, sample), default=0))
    columns = []
    for index in range(width):
        cells = tuple(clean(row[index]) if index < len(row) else "" for row in sample)
        heading = headings[index] if index < len(headings) else ""
        columns.append(Column(index, heading, cells, Counter(map(kind_of, cells))))
    return columns


def find_times(columns: Sequence[Column], name: str) -> tuple[int, int | None]:
    """Return the column of full stamps; or of dates, and that of the clock times beside it."""

    def holding(kind: Kind) -> list[Column]:
        return [c for c in columns if c.holds(kind, named=time_score(c.heading) > 0)]

    for found in (holding("stamp"), holding("epoch")):
        if found:
            return max(found, key=lambda c: (time_score(c.heading) + _states_zone(c), c.filled)).index, None
    dates, clocks = holding("date"), holding("clock") or [c for c in columns if _is_headed_clock(c)]
    if not dates or not clocks:
        raise BadFile(
            f"{name} holds no readings: a date with a clock time is needed beside each glucose value; "
            "export the readings with their full time and send that."
        )
    day = max(dates, key=lambda c: (time_score(c.heading), c.filled))
    return day.index, max(clocks, key=lambda c: (time_score(c.heading), -abs(c.index - day.index))).index


def find_glucose(columns: Sequence[Column], name: str) -> tuple[int, list[str]]:
    """Return the column of glucose, and in words which other columns were left; BadFile when two disagree."""
    found = [
        c
        for c in columns
        if c.holds("value", "flag", named=glucose_score(c.heading) > 1) and _can_be_glucose(c)
    ]
    found.sort(key=lambda c: (glucose_score(c.heading), c.filled), reverse=True)
    if not found or glucose_score(found[0].heading) < 0:
        raise BadFile(
            f"{name} has times but no column of glucose values; send it with the glucose in mmol/L or mg/dL."
        )
    best = found[0]
    score = glucose_score(best.heading)
    rivals = [c for c in found[1:] if glucose_score(c.heading) == score]
    if score == 0:
        return _judge_by_content([best, *rivals], name), []
    notes = []
    for rival in rivals:
        agree = _agree(best, rival)
        if agree is False and 2 * rival.filled >= best.filled:
            raise BadFile(
                f"{name}: “{best.label}” and “{rival.label}” could both be the glucose and do not agree; "
                "send the file with only one of them."
            )
        said = "says the same as" if agree else "was left aside for"
        notes.append(f"“{rival.label}” {said} “{best.label}”")
    return best.index, notes


def find_unit_column(columns: Sequence[Column]) -> int | None:
    """Return the column whose cells name a glucose unit, if there is one."""
    for column in columns:
        units = [cell for cell in column.cells if find_unit(cell) is not None and read_number(cell) is None]
        if units and 2 * len(units) >= column.filled:
            return column.index
    return None


def _is_headed_clock(column: Column) -> bool:
    """Say whether a column of numbers, such as 8.05 or 0805, is one of clock times by its heading."""
    return (
        time_score(column.heading) > 0
        and column.holds("value")
        and all(read_clock(cell) for cell in column.cells if kind_of(cell) == "value")
    )


def _states_zone(column: Column) -> bool:
    cell = next((c for c in column.cells if kind_of(c) == "stamp"), "")
    parts = split_stamp(cell)
    clock = read_clock(parts[1]) if parts else None
    return is_utc(column.heading) or (clock is not None and clock[1] is not None)


def _can_be_glucose(column: Column) -> bool:
    numbers = [n for n in column.numbers() if n is not None]
    return 2 * sum(map(is_plausible, numbers)) >= len(numbers)


def _judge_by_content(found: list[Column], name: str) -> int:
    """Without a word to go by: leave out counters and columns of one value, then prefer decimals."""
    found = [c for c in found if c.kinds["value"]] or found
    telling = [c for c in found if len(_steps(c)) > 1 or c.filled < 3] or found
    decimals = [c for c in telling if any(n is not None and n % 1 for n in c.numbers())]
    telling = decimals or telling
    best = telling[0]
    rivals = [c for c in telling[1:] if _agree(best, c) is not True]
    if rivals:
        raise BadFile(
            f"{name}: “{best.label}” and “{rivals[0].label}” could both be the glucose; "
            "send the file with a heading over each column, or with only one of them."
        )
    return best.index


def _steps(column: Column) -> set[float]:
    numbers = [n for n in column.numbers() if n is not None]
    return {round(b - a, 6) for a, b in pairwise(numbers)}


def _agree(one: Column, other: Column) -> bool | None:
    """Say whether two columns hold the same glucose, in one unit or in two; None when no row has both."""
    pairs = [(a, b) for a, b in zip(one.numbers(), other.numbers(), strict=True) if a and b]
    if not pairs:
        return None
    # 3 %: a value rounded to 0.1 mmol/L is up to 2.5 % away from the same in mg/dL at 2 mmol/L
    return any(
        all(abs(b * f / a - 1) < 0.03 for a, b in pairs) for f in (1, MGDL_PER_MMOL, 1 / MGDL_PER_MMOL)
    )
