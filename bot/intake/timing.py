"""The instants of a table's rows: stamps are read, then placed in the zone that they are in."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.errors import AskFile
from bot.intake.dates import choose_order, read_dates
from bot.intake.headings import is_offset, is_utc
from bot.intake.layout import Layout
from bot.intake.stamps import (
    Stamp,
    StampReader,
    read_epoch,
    read_fraction,
    read_serial,
    split_stamp,
)
from bot.intake.words import clean
from bot.intake.zones import names_of, read_offset, read_zone_name, to_instants

AHEAD = timedelta(minutes=10)
"""How far a device's clock may run ahead of ours."""


@dataclass(slots=True)
class Times:
    """The rows' times: as written (wall clock, offset), as instants (µs since 1970), and what was assumed."""

    stamps: list[Stamp | None]
    instants: list[int | None] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def read_times(
    layout: Layout, name: str, *, zone: ZoneInfo, now: datetime | None, day_first: bool | None
) -> Times:
    """Return the times of the rows; AskFile when days and months could be either way round."""
    parts = [_part(row, layout) for row in layout.rows]
    latest = None if now is None else (now + AHEAD).astimezone(zone).date()
    texts = dict.fromkeys(part[0] for part in parts if isinstance(part, tuple))
    order, note, example = choose_order(texts, latest, day_first)
    if example:
        days = read_dates(example)
        options = tuple(f"{days[each]:%Y-%m-%d}" for each in ("dmy", "mdy"))
        raise AskFile(
            f"{name}: “{example[:30]}” can be {options[0]} or {options[1]}; which one is it?",
            "day_first",
            options,
        )
    reader = StampReader(order, names_of(zone))
    stamps: list[Stamp | None] = []
    for part in parts:
        if isinstance(part, tuple):
            stamps.append(reader.join(*part))
        else:
            stamps.append(None if part is None else (part, 0))
    times = Times(stamps, notes=[note] if note else [])
    _place(times, layout, zone)
    return times


def _place(times: Times, layout: Layout, zone: ZoneInfo) -> None:
    """Work out the instants: by the offset in the stamp, beside it or over it, or by the person's zone."""
    zones = _apply_offsets(times, layout)
    stamps = times.stamps
    if any(stamp is not None and stamp[1] is None for stamp in stamps):
        headings = [layout.label(at) for at in (layout.stamp, layout.clock) if at is not None]
        if any(map(is_utc, headings)):
            times.stamps = stamps = [stamp and (stamp[0], stamp[1] or 0) for stamp in stamps]
        elif not zones or None in zones:
            times.notes.append(f"the times state no zone: read as {zone.key}")
    twice = 0
    if zones:
        times.instants = [None] * len(stamps)
        for each in {own or zone for own in zones}:
            own_stamps = [s if (own or zone) == each else None for s, own in zip(stamps, zones, strict=True)]
            instants, more = to_instants(own_stamps, each)
            twice += more
            times.instants = [
                a if a is not None else b for a, b in zip(times.instants, instants, strict=True)
            ]
    else:
        times.instants, twice = to_instants(stamps, zone)
    if twice:
        times.notes.append(
            f"rows in an hour that came twice in {zone.key}: {twice}, told apart by their order"
        )


def _apply_offsets(times: Times, layout: Layout) -> list[ZoneInfo | None]:
    """Give stamps the offset of their row's own column; return each row's zone where that column names it."""
    at = layout.offset
    if at is None:
        return []
    headed = is_offset(layout.label(at))
    cells = [clean(row[at]) if at < len(row) else "" for row in layout.rows]
    for place, (stamp, cell) in enumerate(zip(times.stamps, cells, strict=True)):
        if stamp is not None and stamp[1] is None:
            times.stamps[place] = (stamp[0], read_offset(cell, headed))
    zones = [read_zone_name(cell) for cell in cells]
    return zones if any(zones) else []


def _part(row: list[str], layout: Layout) -> tuple[str, str] | int | None:
    """Return a row's date and clock time in words, or its µs since 1970, None when there is neither."""
    if layout.stamp >= len(row):
        return None
    text = clean(row[layout.stamp])
    if layout.clock is None:
        return split_stamp(text) or read_epoch(text) or _part_serial(text)
    if layout.clock >= len(row):
        return None
    clock = clean(row[layout.clock])[:60]
    serial = _part_serial(text)
    return (serial[0], read_fraction(clock) or clock) if serial else (text[:60], clock)


def _part_serial(text: str) -> tuple[str, str] | None:
    found = read_serial(text)
    return (f"{found:%Y-%m-%d}", f"{found:%H:%M:%S}") if found else None
