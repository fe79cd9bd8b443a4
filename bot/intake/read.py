"""A file with readings, from its bytes to readings: the line of the work."""

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.entries import Reading
from bot.errors import BadFile
from bot.intake.cells import SEPARATORS, clean
from bot.intake.dates import choose_order
from bot.intake.decoding import decode
from bot.intake.headings import is_utc
from bot.intake.layout import Layout, find_layout
from bot.intake.stamps import Stamp, StampReader, read_epoch, split_stamp
from bot.intake.values import Flag, Refused, ValueReader, find_unit, judge_unit, read_number
from bot.intake.zones import names_of, to_instants
from bot.units import GlucoseUnit

_START = datetime(1970, 1, 1, tzinfo=UTC)
_AHEAD = timedelta(minutes=10)  # how far a device's clock may run ahead of ours
_MICRO = timedelta(microseconds=1)
_MOST_PROBLEMS = 5
_TOO_SHORT = Refused("short", "the row ends before the glucose column")


@dataclass(frozen=True, slots=True)
class RowProblem:
    """Rows that gave no reading: the first such line, what was wrong there, and how many are alike."""

    line: int
    what: str
    rows: int = 1


@dataclass(frozen=True, slots=True)
class FileReadings:
    """What was read from one file.

    readings: in order of time, each instant once; unit: what the file was in
    columns: what was taken for "time" (and "date"), "glucose", "unit", and the "separator"
    flagged: markers such as LO and HI, which are not turned into numbers
    skipped: rows that gave no reading; duplicates: rows whose instant an earlier row had already given
    problems: one for each kind of skipped row, the most frequent first
    warnings: what was assumed, in words
    """

    readings: tuple[Reading, ...]
    unit: GlucoseUnit
    columns: dict[str, str]
    flagged: int
    skipped: int
    duplicates: int
    problems: tuple[RowProblem, ...]
    warnings: tuple[str, ...]


def read_file(
    data: bytes, name: str, *, zone: ZoneInfo, unit: GlucoseUnit | None = None, now: datetime | None = None
) -> FileReadings:
    """Read the glucose readings in a file of any usual layout of delimited text.

    Stamps without an offset are in `zone`; `unit` goes before whatever the file says; readings later than
    `now` are skipped. BadFile says in one sentence what was seen instead of readings, and what to do.
    """
    layout = find_layout(decode(data, name), name)
    stamps, notes = _read_stamps(layout, zone, now)
    instants, twice = to_instants(stamps, zone)
    if twice:
        notes.append(f"rows in an hour that came twice in {zone.key}: {twice}, told apart by their order")
    file_unit, unit_notes = _find_unit(layout, unit, name)
    rows = _Rows(layout, stamps, instants, ValueReader(file_unit), zone)
    rows.go_through(None if now is None else (now + _AHEAD - _START) // _MICRO)
    if not rows.found and not rows.flagged:
        worst = rows.problems()[0]
        raise BadFile(
            f"{name} gave no readings: {worst.what} (line {worst.line}; rows like it: {worst.rows}); "
            "correct that and send it again."
        )
    if rows.differing:
        notes.append(f"times given twice with different values: {rows.differing}, the first was kept")
    return FileReadings(
        readings=tuple(
            Reading(mmol, _START + timedelta(microseconds=at)) for at, mmol in sorted(rows.found.items())
        ),
        unit=file_unit,
        columns=_name_columns(layout),
        flagged=rows.flagged,
        skipped=rows.skipped,
        duplicates=rows.duplicates,
        problems=rows.problems()[:_MOST_PROBLEMS],
        warnings=(*layout.notes, *notes, *unit_notes),
    )


class _Rows:
    """Goes through the rows once and counts what became of each."""

    def __init__(
        self,
        layout: Layout,
        stamps: list[Stamp | None],
        instants: list[int | None],
        values: ValueReader,
        zone: ZoneInfo,
    ) -> None:
        self._layout, self._stamps, self._instants = layout, stamps, instants
        self._values, self._zone = values, zone
        self._problems: dict[str, RowProblem] = {}
        self.found: dict[int, float] = {}
        self.flagged = self.skipped = self.duplicates = self.differing = 0

    def go_through(self, latest: int | None) -> None:
        """Sort each row into found, flagged, duplicate or skipped; `latest` (µs) is the last to be found."""
        glucose, unit = self._layout.glucose, self._layout.unit
        read, found = self._values.read, self.found
        for place, row in enumerate(self._layout.rows):
            at = self._instants[place]
            unit_text = row[unit] if unit is not None and unit < len(row) else ""
            value = read(row[glucose], unit_text) if glucose < len(row) else _TOO_SHORT
            if at is None:
                self._refuse_time(place, row)
            elif isinstance(value, Refused):
                self._skip(place, value.kind, value.what)
            elif latest is not None and at > latest:
                self._skip(place, "future", f"{self._time_of(row)} lies in the future")
            elif isinstance(value, Flag):
                self.flagged += 1
            elif at in found:
                self.duplicates += 1
                self.differing += abs(found[at] - value) > 1e-9
            else:
                found[at] = value

    def problems(self) -> tuple[RowProblem, ...]:
        """Return the kinds of skipped rows, the most frequent first."""
        return tuple(sorted(self._problems.values(), key=lambda problem: -problem.rows))

    def _refuse_time(self, place: int, row: list[str]) -> None:
        time = self._time_of(row)
        if self._stamps[place] is not None:
            self._skip(place, "gap", f"{time} never was in {self._zone.key}, where the clocks went forward")
        elif any(mark.isalnum() for cell in row for mark in cell):  # an empty or ruled line is no row
            what = f"“{time[:40]}” is not a date with a time" if time else "no date and time"
            self._skip(place, "time", what)

    def _skip(self, place: int, kind: str, what: str) -> None:
        self.skipped += 1
        known = self._problems.get(kind) or RowProblem(self._layout.line_numbers[place], what, 0)
        self._problems[kind] = RowProblem(known.line, known.what, known.rows + 1)

    def _time_of(self, row: list[str]) -> str:
        places = (self._layout.stamp, self._layout.clock)
        return " ".join(
            clean(row[place]) for place in places if place is not None and place < len(row)
        ).strip()


def _read_stamps(
    layout: Layout, zone: ZoneInfo, now: datetime | None
) -> tuple[list[Stamp | None], list[str]]:
    """Return the stamp of each row, and what was assumed about them in words."""
    parts = [_part(row, layout) for row in layout.rows]
    latest = None if now is None else (now + _AHEAD).astimezone(zone).date()
    order, note = choose_order(dict.fromkeys(part[0] for part in parts if isinstance(part, tuple)), latest)
    reader = StampReader(order, names_of(zone))
    stamps: list[Stamp | None] = []
    for part in parts:
        if isinstance(part, tuple):
            stamps.append(reader.join(*part))
        else:
            stamps.append(None if part is None else (part, 0))
    notes = [note] if note else []
    if any(stamp is not None and stamp[1] is None for stamp in stamps):
        if is_utc(layout.label(layout.stamp)) or (
            layout.clock is not None and is_utc(layout.label(layout.clock))
        ):
            stamps = [stamp and (stamp[0], stamp[1] or 0) for stamp in stamps]
        else:
            notes.append(f"the times state no zone: read as {zone.key}")
    return stamps, notes


def _part(row: list[str], layout: Layout) -> tuple[str, str] | int | None:
    """Return a row's date and clock time in words, or its µs since 1970, None when there is neither."""
    if layout.stamp >= len(row):
        return None
    text = clean(row[layout.stamp])
    if layout.clock is not None:
        return (text[:60], clean(row[layout.clock])[:60]) if layout.clock < len(row) else None
    return split_stamp(text) or read_epoch(text)


def _find_unit(layout: Layout, asked: GlucoseUnit | None, name: str) -> tuple[GlucoseUnit, list[str]]:
    """Return the unit of the values that name none themselves, and what was assumed about it in words."""
    unit_at = layout.unit
    if unit_at is None:
        cells = [row[layout.glucose] for row in layout.rows if layout.glucose < len(row)]
    else:
        cells = [
            f"{row[layout.glucose]} {row[unit_at]}"
            for row in layout.rows
            if max(layout.glucose, unit_at) < len(row)
        ]
    distinct = {cell: (read_number(cell), find_unit(cell)) for cell in set(cells)}
    seen = [distinct[cell] for cell in cells]
    bare = [number for number, unit in seen if number is not None and unit is None]
    named = Counter(unit for _, unit in seen if unit is not None)
    declared = asked or layout.declared
    if not bare:
        return (named.most_common(1)[0][0] if named else declared or layout.hinted or "mmol/L"), []
    unit = judge_unit(bare, declared, "you" if asked else "the heading", layout.hinted, name)
    stated = declared or unit == layout.hinted
    return unit, [] if stated else [f"no unit is stated: judged by their size, the values are in {unit}"]


def _name_columns(layout: Layout) -> dict[str, str]:
    """Return what each column was taken for, by its heading or its number."""
    names = {"time": layout.label(layout.stamp)}
    if layout.clock is not None:
        names = {"date": names["time"], "time": layout.label(layout.clock)}
    names["glucose"] = layout.label(layout.glucose)
    if layout.unit is not None:
        names["unit"] = layout.label(layout.unit)
    return {**names, "separator": SEPARATORS[layout.separator]}
