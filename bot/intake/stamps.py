"""Time stamps as files write them: a date and a clock time in one, or a count of seconds since 1970.

A stamp is a wall-clock time, with its offset from UTC where the text states one.
"""

import re
from collections.abc import Mapping
from datetime import date

from bot.intake.clocks import DAY, SECOND, Clock, read_clock
from bot.intake.dates import Order, read_dates

Stamp = tuple[int, int | None]  # wall clock in µs since 1970, offset from UTC in µs (None: not stated)

_EPOCH_DAY = date(1970, 1, 1).toordinal()
_LONGEST = 60  # no stamp has more characters
_SPLIT = re.compile(
    r"(.*?\d\.?)(?:T|,?\s+(?:um\s|at\s|-\s)?\s*)(\d{1,2}(?:[:.h]\d|\s*[ap]\.?m).*)", re.IGNORECASE
)
_CLOCK_FIRST = re.compile(r"(\d{1,2}:\d\d(?::\d\d)?(?:\s*[ap]\.?m\.?)?),?\s+(\S.*)", re.IGNORECASE)
_LONG_DIGITS = re.compile(r"(\d{8})T?(\d{4}(?:\d{2})?(?:[.,]\d+)?(?:z|[+-]\d{2}:?\d{2})?)", re.IGNORECASE)
_NUMBER = re.compile(r"\d{10,19}(?:\.\d+)?")


def split_stamp(text: str) -> tuple[str, str] | None:
    """Part a stamp into the words of its date and of its clock time; None when it is not both."""
    if text[13:14] == ":" and text[10:11] in {"T", " "}:  # the most usual width, without a search
        return text[:10], text[11:]
    if len(text) > _LONGEST:
        return None
    found = _CLOCK_FIRST.fullmatch(text)
    if found:
        return found[2], found[1]
    found = _SPLIT.fullmatch(text) or _LONG_DIGITS.fullmatch(text)
    return (found[1], found[2]) if found else None


def read_epoch(text: str) -> int | None:
    """Return µs since 1970 when `text` counts seconds, ms, µs or ns since then (years 2001 to 2100)."""
    if not _NUMBER.fullmatch(text):
        return None
    value = float(text)
    for per_second in (1, 1_000, 1_000_000, 1_000_000_000):
        if 1e9 <= value / per_second < 4.1e9:
            whole, _, part = text.partition(".")
            exact = int(whole) * SECOND // per_second
            return exact + (round(float(f"0.{part}") * SECOND / per_second) if part else 0)
    return None


class StampReader:
    """Reads the stamps of one file; each distinct date and clock text is worked out only once."""

    def __init__(self, order: Order, zone_names: Mapping[str, int]) -> None:
        self._order, self._zone_names = order, zone_names
        self._days: dict[str, int | None] = {}
        self._clocks: dict[str, Clock | None] = {}

    def join(self, day_text: str, clock_text: str) -> Stamp | None:
        """Return the stamp made of a date and a clock time, None when either does not read."""
        if day_text not in self._days:
            day = read_dates(day_text).get(self._order)
            self._days[day_text] = None if day is None else (day.toordinal() - _EPOCH_DAY) * DAY
        if clock_text not in self._clocks:
            self._clocks[clock_text] = read_clock(clock_text, self._zone_names)
        start, clock = self._days[day_text], self._clocks[clock_text]
        return None if start is None or clock is None else (start + clock[0], clock[1])
