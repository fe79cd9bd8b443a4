"""Time stamps as files write them: a date and a clock time in one, or a count of seconds since 1970."""

import re
from datetime import datetime, timedelta

from bot.intake.clocks import HALVES, SECOND
from bot.intake.values import ungroup

_LONGEST = 60  # no stamp has more characters
_SPLIT = re.compile(
    r"(.*?\d\.?)(?:T|,?\s+(?:([^\W\d_]{1,5})\.?\s+|-\s+)?)(\d{1,2}(?:[:.h]\d|\s*[ap]\.?m).*)", re.IGNORECASE
)
_SHORT_CLOCK = re.compile(r"\d{1,2}:\d\d(?::\d\d)?")
_CLOCK_FIRST = re.compile(r"(\d{1,2}:\d\d(?::\d\d)?(?:\s*[ap]\.?m\.?)?),?\s+(\S.*)", re.IGNORECASE)
_LONG_DIGITS = re.compile(r"(\d{8})T?(\d{4}(?:\d{2})?(?:[.,]\d+)?(?:z|[+-]\d{2}:?\d{2})?)", re.IGNORECASE)
_SERIAL = re.compile(r"\d{5}(?:\.\d{1,25})?")
_FRACTION = re.compile(r"0(?:[.,]\d{1,25})?")
_SERIAL_START = datetime(1899, 12, 30)  # noqa: DTZ001 - a wall clock without a zone is meant
_FIRST_SERIAL, _END_SERIAL = 32_874, 73_051
_NUMBER = re.compile(r"\d{10,19}(?:\.\d+)?")


def split_stamp(text: str) -> tuple[str, str] | None:
    """Part a stamp into the words of its date and of its clock time; None when it is not both."""
    if text[13:14] == ":" and text[10:11] in {"T", " "}:  # the most usual width, without a search
        return text[:10], text[11:]
    if len(text) > _LONGEST:
        return None
    date, _, clock = text.partition(" ")
    if _SHORT_CLOCK.fullmatch(clock) and date[-1:].isdigit() and ":" not in date:
        return date, clock
    found = _CLOCK_FIRST.fullmatch(text)
    if found:
        return found[2], found[1]
    found = _SPLIT.fullmatch(text)
    if found:  # a word between the two may say which half of the day it is
        half = f" {found[2]}" if found[2] and found[2].lower() in HALVES else ""
        return found[1], found[3] + half
    found = _LONG_DIGITS.fullmatch(text)
    return (found[1], found[2]) if found else None


def read_epoch(text: str) -> int | None:
    """Return µs since 1970 when `text` counts seconds, ms, µs or ns since then (years 2001 to 2100)."""
    if not _NUMBER.fullmatch(text):
        text = ungroup(text)
        if not _NUMBER.fullmatch(text):
            return None
    value = float(text)
    for per_second in (1, 1_000, 1_000_000, 1_000_000_000):
        if 1e9 <= value / per_second < 4.1e9:
            whole, _, part = text.partition(".")
            exact = int(whole) * SECOND // per_second
            return exact + (round(float(f"0.{part}") * SECOND / per_second) if part else 0)
    return None


def read_serial(text: str) -> datetime | None:
    """Return the wall-clock time of a spreadsheet's count of days since 1899-12-30 (years 1990 to 2099)."""
    text = ungroup(text).replace(",", ".")
    if not _SERIAL.fullmatch(text) or not _FIRST_SERIAL <= float(text) < _END_SERIAL:
        return None
    return _SERIAL_START + timedelta(seconds=round(float(text) * 86_400))


def read_fraction(text: str) -> str | None:
    """Return the clock time of a spreadsheet's part of a day, 0.75 being 18:00:00; None when it is none."""
    found = _FRACTION.fullmatch(text)
    if found is None:
        return None
    return (
        (_SERIAL_START + timedelta(seconds=round(float(text.replace(",", ".")) * 86_400))).time().isoformat()
    )
