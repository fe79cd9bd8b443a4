"""Wall-clock stamps to instants: a person's zone, the hour that comes twice and the hour that never was."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo

from bot.intake.clocks import DAY
from bot.intake.stamps import Stamp

_START = datetime(1970, 1, 1)  # noqa: DTZ001 - a wall clock without a zone is meant


def to_instants(stamps: Sequence[Stamp | None], zone: ZoneInfo) -> tuple[list[int | None], int]:
    """Return each stamp as µs since 1970 in UTC, and how many lay in an hour that came twice.

    None stays None, and a wall-clock time that the zone skipped becomes None. A time that came twice is the
    one that carries on the row best from its neighbour before: rows are followed in the direction of time.
    """
    known = [stamp[0] for stamp in stamps if stamp is not None]
    jumps = [b - a for a, b in pairwise(known) if a != b]
    forward = 2 * sum(jump > 0 for jump in jumps) >= len(jumps)
    step = median(map(abs, jumps)) if jumps else 0
    offsets: dict[int, int | None] = {}
    instants: list[int | None] = [None] * len(stamps)
    before: int | None = None
    twice = 0
    for row in range(len(stamps)) if forward else range(len(stamps) - 1, -1, -1):
        stamp = stamps[row]
        if stamp is None:
            continue
        wall, offset = stamp
        if offset is None:
            day = wall // DAY
            if day not in offsets:
                offsets[day] = _offset_all_day(day, zone)
            offset = offsets[day]
        if offset is not None:
            before = instants[row] = wall - offset
            continue
        choices = _instants_of(wall, zone)
        if not choices:
            continue
        twice += len(choices) == 2
        expected = choices[0] if before is None else before + step
        before = instants[row] = min(choices, key=lambda each: abs(each - expected))
    return instants, twice


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
