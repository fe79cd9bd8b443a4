"""Which columns of a table hold the times, the glucose and its unit: by their headings and their content."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bot.intake.cells import Kind, kind_of
from bot.intake.clocks import read_clock
from bot.intake.headings import (
    glucose_score,
    is_offset,
    is_utc,
    names_blood,
    names_other_quantity,
    names_sensor,
    specimen_of,
    time_score,
)
from bot.intake.stamps import read_fraction, split_stamp
from bot.intake.tables import column_of
from bot.intake.values import find_unit, is_plausible, read_number
from bot.intake.words import clean
from bot.intake.zones import read_offset, read_zone_name
from bot.model.errors import AskFile, BadFile
from bot.model.units import MGDL_PER_MMOL

WIDEST = 60
"""How many columns are looked at."""

FINGER = 2
"""The score of a heading of glucose from a finger: such a column is left aside for a sensor's."""

_MOST_KINDS = 50  # more different words than that are notes
_NUMBERED = re.compile(r"(?:column )?(\d{1,2})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the sample: its place, its heading, its cells and how many are of each kind.

    heading: what its words are judged by, a row of units below them included; label: how it is called
    """

    index: int
    heading: str
    label: str
    cells: tuple[str, ...]
    kinds: Counter[Kind]

    @property
    def filled(self) -> int:
        """How many cells hold something."""
        return self.kinds.total() - self.kinds["nothing"]

    @property
    def varies(self) -> bool:
        """Whether it holds more than one text, or is too short to tell."""
        return self.filled < 2 or len({cell for cell in self.cells if cell}) > 1

    def holds(self, *kinds: Kind, named: bool = False) -> bool:
        """Say whether at least half of what it holds is of these kinds, or any where its heading says so."""
        found = sum(self.kinds[kind] for kind in kinds)
        return found > 0 and (named or 2 * found >= self.filled)

    def numbers(self) -> list[float | None]:
        """Return the number of each cell, None where it is not a value."""
        return [read_number(cell) if kind_of(cell) == "value" else None for cell in self.cells]


@dataclass(frozen=True, slots=True)
class Glucose:
    """The columns of glucose.

    columns: the main one first; pricks: those from a finger, where `columns` are a sensor's
    sure: the score of the main one's heading; notes: in words what was left aside
    """

    columns: list[Column]
    pricks: list[Column]
    sure: int
    notes: list[str]


def name_column(headings: Sequence[str], index: int) -> str:
    """Return a column's heading in one short line, or its number in words."""
    found = " ".join(headings[index].split()) if index < len(headings) else ""
    found = "".join(mark for mark in found if mark.isprintable())
    return found[:39] + "…" if len(found) > 40 else found or f"column {index + 1}"


def look_at_columns(
    sample: Sequence[Sequence[str]], headings: Sequence[str], below: Sequence[str]
) -> list[Column]:
    """Return the columns of some records; short records count as empty in the columns they lack.

    below: the words of a second row under the headings, such as units
    """
    width = min(WIDEST, max(map(len, sample), default=0))
    columns = []
    for index in range(width):
        cells = tuple(clean(row[index]) if index < len(row) else "" for row in sample)
        heading = " ".join(row[index] for row in (headings, below) if index < len(row))
        columns.append(
            Column(index, heading, name_column(headings, index), cells, Counter(map(kind_of, cells)))
        )
    return columns


def find_times(columns: Sequence[Column], name: str) -> tuple[int, int | None]:
    """Return the column of full stamps; or of dates, and that of the clock times beside it."""

    def holding(kind: Kind) -> list[Column]:
        return [c for c in columns if c.holds(kind, named=time_score(c.heading) > 0)]

    serials = holding("serial")
    parts_of_days = [c for c in columns if serials and _holds_fractions(c)]
    stamps = [*holding("stamp"), *holding("epoch")]
    if not stamps and not parts_of_days:
        stamps = [c for c in serials if any("." in cell or "," in cell for cell in c.cells)]
    dates = holding("date") or serials
    clocks = holding("clock") or parts_of_days or [c for c in columns if _is_headed_clock(c)]
    if dates and clocks:  # one instant for all rows, as when a file was made, is not when they were measured
        stamps = [c for c in stamps if c.varies]
    if stamps:
        return max(
            stamps, key=lambda c: (c.varies, time_score(c.heading) + _states_zone(c), c.filled)
        ).index, None
    if not dates or not clocks:
        raise BadFile(
            f"{name} holds no readings: a date with a clock time is needed beside each glucose value; "
            "export the readings with their full time and send that."
        )
    day = max(dates, key=lambda c: (time_score(c.heading), c.filled))
    return day.index, max(clocks, key=lambda c: (time_score(c.heading), -abs(c.index - day.index))).index


def find_glucose(columns: Sequence[Column], name: str, asked: str | None) -> Glucose:
    """Return the columns of glucose; AskFile where only the person can tell.

    asked: the column that the person chose, by its heading or number
    """
    if asked is not None:
        return Glucose([_choose(columns, asked, name)], [], 3, [])
    found = [
        c
        for c in columns
        if c.holds("value", "flag", named=glucose_score(c.heading) > 1) and _can_be_glucose(c)
    ]
    found.sort(key=lambda c: (glucose_score(c.heading), c.filled), reverse=True)
    if not found or glucose_score(found[0].heading) < 0:
        raise BadFile(
            f"{name} has times but no column of glucose values{_besides(columns)}; send it with the glucose "
            "in mmol/L or mg/dL."
        )
    best = found[0]
    score = glucose_score(best.heading)
    if score == 0:
        return Glucose([_judge_by_content(found, name)], [], 0, [])
    if score == FINGER or names_blood(best.heading):  # beside a sensor's column it is the one of a finger
        sensors = [c for c in found if c.varies and names_sensor(c.heading) and glucose_score(c.heading) > 0]
        values = [c for c in found if c.varies and glucose_score(c.heading) == 1 and score == FINGER]
        best = next(iter(sensors + values), best)
    found.remove(best)
    glucose = Glucose([best], [], score, [])
    for rival in found:
        _place_rival(glucose, rival, names_sensor(best.heading) and names_blood(rival.heading), name)
    return glucose


def _place_rival(glucose: Glucose, rival: Column, in_blood: bool, name: str) -> None:
    """Say of a further column whether it is glucose, too, that of a finger, or to be left aside."""
    best, score = glucose.columns[0], glucose.sure
    if glucose_score(rival.heading) < min(score, FINGER):
        return
    agree = agrees(best, rival)
    in_blood = in_blood or glucose_score(rival.heading) == FINGER != glucose_score(best.heading)
    if agree and (not in_blood or 2 * rival.filled > best.filled):
        glucose.notes.append(f"“{rival.label}” says the same as “{best.label}”")
    elif in_blood and not any(agrees(prick, rival) for prick in glucose.pricks):
        glucose.pricks.append(rival)
        glucose.notes.append(f"“{rival.label}” was kept apart, as values of blood")
    elif in_blood or glucose_score(rival.heading) < score:
        glucose.notes.append(f"“{rival.label}” was left aside for “{best.label}”")
    elif score >= FINGER:
        glucose.columns.append(rival)  # every row is compared as it is read
    else:
        raise ask_which(name, [best, rival], "and do not agree" if agree is False else "")


def ask_which(name: str, columns: Sequence[Column], seen: str) -> AskFile:
    """Return the question which of some columns is the glucose; `seen` says what came to light, in words."""
    labels = tuple(column.label for column in columns)
    said = f" {seen}" if seen else ""
    return AskFile(
        f"{name}: “{labels[0]}” and “{labels[1]}” could both be the glucose{said}; which one is it?",
        "column",
        labels,
        " | ".join(labels) if all(column.heading.strip() for column in columns) else "",
    )


def find_unit_column(columns: Sequence[Column]) -> int | None:
    """Return the column whose cells name a glucose unit, if there is one."""
    for column in columns:
        units = [cell for cell in column.cells if find_unit(cell) is not None and read_number(cell) is None]
        if units and 2 * len(units) >= column.filled:
            return column.index
    return None


def find_specimen_column(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> int | None:
    """Return the column that says of each row what it is: a finger-prick, or no glucose at all."""
    for column in columns:
        if not column.holds("text", "flag") or 2 * column.filled < len(column.cells):
            continue
        kinds = {cell or "" for cell in column_of(rows, column.index)}
        if len(kinds) > _MOST_KINDS:
            continue  # notes
        others = any(map(names_other_quantity, kinds))
        if any(map(specimen_of, kinds)) or (others and any(glucose_score(kind) > 1 for kind in kinds)):
            return column.index
    return None


def find_offset_column(columns: Sequence[Column]) -> int | None:
    """Return the column whose cells are offsets from UTC or names of zones, if there is one."""
    are_headed = any(column.heading for column in columns)
    for column in columns:
        if are_headed and not column.heading.strip():
            continue  # what stands beyond the headings
        cells = [cell for cell in column.cells if cell]
        headed = is_offset(column.heading)
        if 2 * len(cells) < len(column.cells) and not headed:
            continue
        if cells and all(read_zone_name(c) or read_offset(c, headed) is not None for c in cells):
            return column.index
    return None


def agrees(one: Column, other: Column) -> bool | None:
    """Say whether two columns hold the same glucose, in one unit or in two; None when no row has both."""
    pairs = [(a, b) for a, b in zip(one.numbers(), other.numbers(), strict=True) if a and b]
    if not pairs:
        return None
    # 3 %: a value rounded to 0.1 mmol/L is up to 2.5 % away from the same in mg/dL at 2 mmol/L
    return any(
        all(abs(b * f / a - 1) < 0.03 for a, b in pairs) for f in (1, MGDL_PER_MMOL, 1 / MGDL_PER_MMOL)
    )


def _choose(columns: Sequence[Column], asked: str, name: str) -> Column:
    wanted = " ".join(clean(asked).split()).casefold()
    numbered = _NUMBERED.fullmatch(wanted)
    for column in columns:
        if wanted == column.label.casefold() or (numbered and int(numbered[1]) == column.index + 1):
            return column
    raise BadFile(f"{name} has no column “{asked[:40]}”; its columns are {_list(columns)}.")


def _list(columns: Sequence[Column]) -> str:
    return ", ".join(f"“{column.label}”" for column in columns[:8])[:140]


def _besides(columns: Sequence[Column]) -> str:
    named = [column for column in columns if column.heading.strip()]
    return f" (there is {_list(named)})" if named else ""


def _is_headed_clock(column: Column) -> bool:
    """Say whether a column of numbers, such as 8.05 or 0805, is one of clock times by its heading."""
    return (
        time_score(column.heading) > 0
        and column.holds("value")
        and all(read_clock(cell) for cell in column.cells if kind_of(cell) == "value")
    )


def _holds_fractions(column: Column) -> bool:
    cells = [cell for cell in column.cells if kind_of(cell) == "value"]
    return bool(cells) and column.varies and all(read_fraction(cell) for cell in cells)


def _states_zone(column: Column) -> bool:
    cell = next((c for c in column.cells if kind_of(c) == "stamp"), "")
    parts = split_stamp(cell)
    clock = read_clock(parts[1]) if parts else None
    return is_utc(column.heading) or column.kinds["epoch"] > 0 or (clock is not None and clock[1] is not None)


def _can_be_glucose(column: Column) -> bool:
    numbers = [n for n in column.numbers() if n is not None]
    return 2 * sum(map(is_plausible, numbers)) >= len(numbers)


def _judge_by_content(found: list[Column], name: str) -> Column:
    """Without a word to go by: leave out counters and columns of one value, then prefer decimals."""
    found = [c for c in found if c.kinds["value"] and glucose_score(c.heading) == 0] or found
    telling = [c for c in found if len(_steps(c)) > 1 or c.filled < 3] or found
    decimals = [c for c in telling if any(n is not None and n % 1 for n in c.numbers())]
    telling = decimals or telling
    best = telling[0]
    rivals = [c for c in telling[1:] if agrees(best, c) is not True]
    if rivals:
        raise ask_which(name, [best, *rivals], "")
    return best


def _steps(column: Column) -> set[float]:
    numbers = [n for n in column.numbers() if n is not None]
    return {round(b - a, 6) for a, b in pairwise(numbers)}
