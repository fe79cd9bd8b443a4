"""Wall-clock stamps to instants: a person's zone, the hour that comes twice and the hour that never was."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from bot.intake.clocks import DAY, SECOND

Walls = list[int | None]  # times in µs, None where a row has none

_START = datetime(1970, 1, 1)  # noqa: DTZ001 - a wall clock without a zone is meant


_OFFSET = re.compile(r"(?:utc|gmt)?\s*([+-])(\d{1,2})(?::?(\d{2}))?|(z|utc|gmt)", re.IGNORECASE)
_ZONE = re.compile(r"[A-Z][A-Za-z_]+(?:/[A-Za-z_+-]+){1,2}")
_WHOLE = re.compile(r"[+-]?\d{1,9}")


def read_offset(text: str, headed: bool = False) -> int | None:
    """Return an offset from UTC in µs, None when `text` is none.

    headed: a heading says that it is one, so that a bare number counts too: hours, minutes, seconds or ms, by
    its size
    """
    found = _OFFSET.fullmatch(text)
    if found and (headed or found[3] or found[4] or len(text) > 3):
        if found[4]:
            return 0
        hours, minutes = int(found[2]), int(found[3] or 0)
        if hours <= 14 and minutes <= 59:
            size = (hours * 60 + minutes) * 60 * SECOND
            return -size if found[1] == "-" else size
    if headed and _WHOLE.fullmatch(text):
        number = int(text)
        for most, unit in ((14, 3600), (14 * 60, 60), (14 * 3600, 1), (14 * 3_600_000, 0.001)):
            if abs(number) <= most:
                return round(number * unit * SECOND)
    return None


def read_zone_name(text: str) -> ZoneInfo | None:
    """Return the zone that a name such as Europe/Vienna is of, None when it is none."""
    if not _ZONE.fullmatch(text):
        return None
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):  # a folder of zones is an OSError
        return None


def to_instants(walls: Walls, offsets: Walls, zone: ZoneInfo) -> tuple[list[int | None], int]:
    """Return each time as µs since 1970 in UTC, and how many lay in an hour that came twice.

    walls, offsets: wall clocks in µs since 1970 and the offsets from UTC stated with them. None stays
    None, and a wall-clock time that the zone skipped becomes None. A time that came twice is the one that
    carries on the row best from its neighbour before: rows are followed in the direction of time.
    """
    days = {wall // DAY for wall in walls if wall is not None}
    of_day = {day: _offset_all_day(day, zone) for day in days} if None in offsets else {}
    instants: list[int | None] = []
    changing: list[int] = []
    for wall, offset in zip(walls, offsets, strict=True):
        if wall is None:
            instants.append(None)
            continue
        if offset is None:
            offset = of_day[wall // DAY]
        if offset is None:
            changing.append(len(instants))
            instants.append(None)
        else:
            instants.append(wall - offset)
    return instants, _place_changing(instants, walls, changing, zone) if changing else 0


def _place_changing(instants: list[int | None], walls: Walls, changing: Sequence[int], zone: ZoneInfo) -> int:
    """Fill in the instants of rows on days when the clocks change; return how many of them came twice."""
    near = sorted({place for row in changing for place in (row - 1, row, row + 1) if 0 <= place < len(walls)})
    known = [wall for wall in (walls[place] for place in near) if wall is not None]
    jumps = [b - a for a, b in pairwise(known) if a != b]
    forward = 2 * sum(jump > 0 for jump in jumps) >= len(jumps)
    step = median(map(abs, jumps)) if jumps else 0
    rows = [row for row, wall in enumerate(walls) if wall is not None]
    to_place = set(changing)
    block: list[tuple[int, list[int]]] = []  # rows that follow each other, with their choices
    before: int | None = None
    twice = 0
    for row in rows if forward else reversed(rows):
        if row in to_place:
            choices = _instants_of(walls[row] or 0, zone)
            twice += len(choices) == 2
            if choices:
                block.append((row, choices))
            continue
        if block:
            _place_block(instants, block, before, instants[row], step)
            block = []
        before = instants[row]
    _place_block(instants, block, before, None, step)
    return twice


def _place_block(
    instants: list[int | None],
    block: Sequence[tuple[int, list[int]]],
    before: int | None,
    after: int | None,
    step: float,
) -> None:
    """Choose the instants of rows that follow each other so that time goes on, with the fewest gaps."""
    costs = {before: 0.0}
    chosen_from: list[dict[int, int | None]] = []
    for _, choices in [*block, (-1, [] if after is None else [after])]:
        if not choices:
            continue
        best = {at: min(costs, key=lambda prior: costs[prior] + _cost(prior, at, step)) for at in choices}
        costs = {at: costs[prior] + _cost(prior, at, step) for at, prior in best.items()}
        chosen_from.append(best)
    at = min(costs, key=lambda each: costs[each])
    if after is not None:
        at = chosen_from.pop()[after]
    for (row, _), best in zip(reversed(block), reversed(chosen_from), strict=True):
        assert at is not None  # only the instant before the block can be missing
        instants[row] = at
        at = best[at]


def _cost(prior: int | None, at: int, step: float) -> float:
    """Weigh what lies between two rows: the usual step is free, a gap costs, going back costs more."""
    if prior is None:
        return 0
    apart = at - prior
    if abs(2 * (apart - step)) <= step:
        return 0
    return (1 if apart >= 0 else 3) + abs(apart - step) / DAY


def names_of(zone: ZoneInfo) -> dict[str, int]:
    """Return the letters that the zone uses in winter and summer (CET, CEST), with their offsets in µs."""
    found = {}
    for month in (1, 7):
        at = datetime(2026, month, 1, tzinfo=zone)
        name, offset = at.tzname(), at.utcoffset()
        if name and offset is not None:
            found[name.upper()] = offset // timedelta(microseconds=1)
    return found


def _offset_all_day(day: int, zone: ZoneInfo) -> int | None:
    """Return the offset from UTC in µs that holds all day, None on a day of change."""
    start = _START + timedelta(days=day)
    hours = [(start + timedelta(hours=hour)).replace(tzinfo=zone) for hour in (0, 6, 12, 18, 24)]
    found = {hour.replace(fold=fold).utcoffset() for hour in hours for fold in (0, 1)}
    offset = found.pop()
    return None if found or offset is None else offset // timedelta(microseconds=1)


def _instants_of(wall: int, zone: ZoneInfo) -> list[int]:
    local = _START + timedelta(microseconds=wall)
    found = {local.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)}
    real = [at for at in sorted(found) if at.astimezone(zone).replace(tzinfo=None) == local]
    return [(at.replace(tzinfo=None) - _START) // timedelta(microseconds=1) for at in real]
