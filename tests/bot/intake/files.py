"""A small writer of readings files, in layouts made up for the tests."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

VIENNA = ZoneInfo("Europe/Vienna")
START = datetime(2026, 3, 24, 21, 0, tzinfo=UTC)  # 22:00 in Vienna, so that the files hold two days
MMOL = [5.4, 5.6, 6.1, 7.3, 8.2, 7.7, 6.4, 5.9, 5.2, 4.8]

Pair = tuple[datetime, float]


def readings(n: int = 30, start: datetime = START, step_min: float = 15) -> list[Pair]:
    """Return n made-up readings in mmol/L."""
    return [(start + timedelta(minutes=step_min * i), MMOL[i % len(MMOL)]) for i in range(n)]


@dataclass(frozen=True)
class Style:
    """How a file is written; `stamp` writes local times, as one or several cells."""

    stamp: Callable[[datetime], Sequence[str]] = lambda at: [f"{at:%Y-%m-%d %H:%M}"]
    value: Callable[[float], Sequence[str]] = lambda mmol: [f"{mmol:.1f}"]
    separator: str = ","
    header: Sequence[str] | None = ("Time", "Glucose (mmol/L)")
    preamble: Sequence[str] = ()
    newline: str = "\n"
    encoding: str = "utf-8"
    value_first: bool = False
    zone: ZoneInfo = VIENNA


def rows_of(pairs: Iterable[Pair], style: Style) -> list[list[str]]:
    rows = []
    for at, mmol in pairs:
        cells = [list(style.stamp(at.astimezone(style.zone))), list(style.value(mmol))]
        rows.append([cell for part in (reversed(cells) if style.value_first else cells) for cell in part])
    return rows


def write(pairs: Iterable[Pair], style: Style, extra: Sequence[str] = ()) -> bytes:
    """Return a file of `pairs`; `extra` lines come last."""
    lines = list(style.preamble)
    if style.header is not None:
        lines.append(style.separator.join(style.header))
    lines += [style.separator.join(row) for row in rows_of(pairs, style)]
    lines += extra
    return style.newline.join([*lines, ""]).encode(style.encoding)
