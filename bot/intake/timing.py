"""The instants of a table's rows: stamps are read, then placed in the zone that they are in.

Each distinct text of a day and of a clock time is worked out only once: files are long, days are few.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.intake.clocks import DAY, Clock, read_clock
from bot.intake.dates import Order, choose_order, read_dates
from bot.intake.headings import is_offset, is_utc
from bot.intake.layout import Layout
from bot.intake.stamps import read_epoch, read_fraction, read_serial, split_stamp
from bot.intake.tables import LONGEST, column_of
from bot.intake.words import clean_all
from bot.intake.zones import Walls, names_of, read_offset, read_zone_name, to_instants
from bot.model.errors import AskFile

AHEAD = timedelta(minutes=10)
"""How far a device's clock may run ahead of ours."""

Part = tuple[str, str] | int | None  # the words of a date and of a clock time, or µs since 1970, or neither

_EPOCH_DAY = date(1970, 1, 1).toordinal()


@dataclass(frozen=True, slots=True)
class Times:
    """The rows' times: in words, on the wall clock and as instants (µs since 1970), and what was assumed."""

    texts: list[str]
    walls: Walls
    instants: list[int | None]
    notes: list[str]


def read_times(
    layout: Layout, name: str, *, zone: ZoneInfo, now: datetime | None, day_first: bool | None
) -> Times:
    """Return the times of the rows; AskFile when days and months could be either way round."""
    texts = clean_all(column_of(layout.rows, layout.stamp))
    if layout.clock is None:
        parts = [split_stamp(text) or read_epoch(text) or _part_serial(text) for text in texts]
    else:
        clocks = clean_all(column_of(layout.rows, layout.clock))
        filled = _fill_down(texts, clocks)
        texts = filled or texts
        parts = _pair(texts, clocks)
        texts = [f"{text} {clock}".strip() for text, clock in zip(texts, clocks, strict=True)]
    latest = None if now is None else (now + AHEAD).astimezone(zone).date()
    dates = dict.fromkeys([part[0] for part in parts if isinstance(part, tuple)])
    order, note, example = choose_order(dates, latest, day_first)
    if example:
        days = read_dates(example)
        options = tuple(f"{days[each]:%Y-%m-%d}" for each in ("dmy", "mdy"))
        raise AskFile(
            f"{name}: “{example[:30]}” can be {options[0]} or {options[1]}; which one is it?",
            "day_first",
            options,
            " | ".join(layout.label(column) for column in range(len(layout.headings))),
        )
    walls, offsets = _join(parts, list(dates), order, names_of(zone))
    notes = [note] if note else []
    if layout.clock is not None and filled:
        notes.append("rows without a day have that of the row above")
    return Times(texts, walls, _place(walls, offsets, layout, zone, notes), notes)


def _fill_down(texts: Sequence[str], clocks: Sequence[str]) -> list[str]:
    """Return the days with those left out filled in from the row above; nothing where none was left out.

    While the clock runs one way it is the same day.
    """
    if all(texts):
        return []
    days: list[str] = []
    day, way, last = "", 0, 0
    for text, words in zip(texts, clocks, strict=True):
        clock = read_clock(words) if words else None
        if text:
            day, way = text[:LONGEST], 0
        elif clock is not None:
            turn = (clock[0] > last) - (clock[0] < last)
            if turn * way < 0:  # another day began that nobody wrote down
                day = ""
            way = way or turn
        last = clock[0] if clock is not None else last
        days.append(text or (day if clock is not None else ""))
    return days if days != texts else []


def _pair(texts: list[str], clocks: list[str]) -> list[Part]:
    serials = {text: serial[0] for text in set(texts) if (serial := _part_serial(text))}
    if not serials:
        return [(text[:60], clock[:60]) for text, clock in zip(texts, clocks, strict=True)]
    return [
        (serials.get(text, text[:60]), read_fraction(clock) or clock[:60])
        for text, clock in zip(texts, clocks, strict=True)
    ]


def _part_serial(text: str) -> tuple[str, str] | None:
    found = read_serial(text)
    return (f"{found:%Y-%m-%d}", f"{found:%H:%M:%S}") if found else None


def _join(
    parts: list[Part], dates: list[str], order: Order, zone_names: Mapping[str, int]
) -> tuple[Walls, Walls]:
    """Return each row's wall clock in µs since 1970 and its stated offset from UTC, None without one."""
    starts: dict[str, int | None] = {}
    for text in dates:
        day = read_dates(text).get(order)
        starts[text] = None if day is None else (day.toordinal() - _EPOCH_DAY) * DAY
    clocks: dict[str, Clock | None] = {
        text: read_clock(text, zone_names) for text in {part[1] for part in parts if isinstance(part, tuple)}
    }
    walls: Walls = []
    offsets: Walls = []
    for part in parts:
        wall = offset = None
        if isinstance(part, tuple):
            start, clock = starts[part[0]], clocks[part[1]]
            if start is not None and clock is not None:
                wall, offset = start + clock[0], clock[1]
        elif part is not None:
            wall, offset = part, 0
        walls.append(wall)
        offsets.append(offset)
    return walls, offsets


def _place(
    walls: Walls, offsets: Walls, layout: Layout, zone: ZoneInfo, notes: list[str]
) -> list[int | None]:
    """Work out the instants: by the offset in the stamp, beside it or over it, or by the person's zone."""
    zones = _apply_offsets(offsets, layout)
    if any(wall is not None and offset is None for wall, offset in zip(walls, offsets, strict=True)):
        headings = [layout.label(at) for at in (layout.stamp, layout.clock) if at is not None]
        if any(map(is_utc, headings)):
            offsets = [offset or 0 for offset in offsets]
        elif None in zones:
            notes.append(f"the times state no zone: read as {zone.key}")
    if zones == [None]:
        instants, twice = to_instants(walls, offsets, zone)
    else:
        instants, twice = [None] * len(walls), 0
        rows_of: dict[ZoneInfo, list[int]] = defaultdict(list)
        for place, own in enumerate(zones):
            rows_of[own or zone].append(place)
        for each, rows in rows_of.items():
            placed, more = to_instants([walls[row] for row in rows], [offsets[row] for row in rows], each)
            twice += more
            for row, instant in zip(rows, placed, strict=True):
                instants[row] = instant
    if twice:
        notes.append(f"rows in an hour that came twice in {zone.key}: {twice}, told apart by their order")
    return instants


def _apply_offsets(offsets: Walls, layout: Layout) -> list[ZoneInfo | None]:
    """Fill in the offsets that a column of their own states; return each row's zone where it names that.

    One None stands for all rows where no zone is named.
    """
    if layout.offset is None:
        return [None]
    headed = is_offset(layout.label(layout.offset))
    cells = clean_all(column_of(layout.rows, layout.offset))
    stated = {cell: read_offset(cell, headed) for cell in set(cells)}
    named = {cell: read_zone_name(cell) for cell in set(cells)}
    for place, cell in enumerate(cells):
        if offsets[place] is None:
            offsets[place] = stated[cell]
    return [named[cell] for cell in cells] if any(named.values()) else [None]
