"""Time stamps as files write them: dates, clock times, both in one, and seconds since 1970.

Nothing here knows a zone: a stamp is a wall-clock time, with its offset from UTC where the text states one.
"""

import re
import unicodedata
from collections.abc import Iterable
from datetime import date
from itertools import pairwise
from typing import Literal

Order = Literal["dmy", "mdy", "ymd"]
Stamp = tuple[int, int | None]  # wall clock in µs since 1970, offset from UTC in µs (None: not stated)

SECOND = 1_000_000
DAY = 86_400 * SECOND
_EPOCH_DAY = date(1970, 1, 1).toordinal()
_FIRST_YEAR, _LAST_YEAR = 1990, 2199

_SEP = r"\s*[-/.]\s*"
_YEAR_FIRST = re.compile(rf"(\d{{4}}){_SEP}(\d{{1,2}}){_SEP}(\d{{1,2}})\.?|(\d{{4}})(\d\d)(\d\d)")
_OPEN = re.compile(rf"(\d{{1,2}}){_SEP}(\d{{1,2}}){_SEP}(\d{{4}}|\d\d)\.?")
_WORD = r"([^\W\d_]{3,12})\.?"
_DAY_MONTH = re.compile(
    rf"(\d{{1,2}})(?:st|nd|rd|th)?[-./\s]*(?:de\s+)?{_WORD}[-/,\s]*(?:de\s+)?(\d{{4}}|\d\d)"
)
_MONTH_DAY = re.compile(rf"{_WORD}[-/\s]*(\d{{1,2}})(?:st|nd|rd|th)?[-/,\s]+(\d{{4}}|\d\d)")
_YEAR_MONTH = re.compile(rf"(\d{{4}})[-/\s]*{_WORD}[-/\s]*(\d{{1,2}})")
_WEEKDAY = re.compile(r"[^\W\d_]{2,12}\.?,?\s+")
# First letters of the months in English, German, Dutch, French, Spanish, Italian, Portuguese, Danish.
_MONTHS = {
    prefix: month
    for month, prefixes in enumerate(
        (
            "jan ene gen", "feb fev", "mar maa mrt", "apr avr abr", "may mai mag mei maj", "jun juin giu",
            "jul juil lug", "aug aou ago", "sep set", "oct okt ott out", "nov", "dec dez dic",
        ),
        start=1,
    )
    for prefix in prefixes.split()
}  # fmt: skip

_CLOCK = re.compile(
    r"(\d{1,2})(?:[:.h](\d{1,2})(?:[:.](\d{2})(?:[.,](\d{1,9}))?)?)?"
    r"\s*(?:([ap])\.?\s?m\.?|uhr|h)?"
    r"\s*(?:(z|utc|gmt)?\s*([+-]\d{2}:?(?:\d{2})?)?|([a-z]{2,5}))(?:\[[\w/]+\])?",
    re.IGNORECASE,
)
_CLOCK_COMPACT = re.compile(
    r"(\d{2})(\d{2})(\d{2})?(?:[.,](\d{1,9}))?()(?:(z)|([+-]\d{2}:?(?:\d{2})?))?()", re.I
)
_SPLIT = re.compile(
    r"(.*?\d\.?)(?:T|,?\s+(?:um\s|at\s|-\s)?\s*)(\d{1,2}(?:[:.h]\d|\s*[ap]\.?m).*)", re.IGNORECASE
)
_CLOCK_FIRST = re.compile(r"(\d{1,2}:\d\d(?::\d\d)?(?:\s*[ap]\.?m\.?)?),?\s+(\S.*)", re.IGNORECASE)
_LONG_DIGITS = re.compile(r"(\d{8})T?(\d{4}(?:\d{2})?(?:[.,]\d+)?(?:z|[+-]\d{2}:?\d{2})?)", re.IGNORECASE)
_NUMBER = re.compile(r"\d{10,19}(?:\.\d+)?")


def split_stamp(text: str) -> tuple[str, str] | None:
    """Part a stamp into the words of its date and of its clock time; None when it is not both."""
    if text[10:11] in {"T", " "} and text[13:14] == ":" and text[:4].isdigit():
        return text[:10], text[11:]
    found = _SPLIT.fullmatch(text) or _LONG_DIGITS.fullmatch(text)
    if found:
        return found[1], found[2]
    found = _CLOCK_FIRST.fullmatch(text)
    return (found[2], found[1]) if found else None


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


def read_dates(text: str) -> dict[Order, date]:
    """Return the days that `text` can mean, by the order of its numbers; all agree where it is plain."""
    text = text.strip()
    found = _YEAR_FIRST.fullmatch(text)
    if found:
        y, m, d = (found[1], found[2], found[3]) if found[1] else (found[4], found[5], found[6])
        return _in_any_order(y, int(m), d)
    found = _OPEN.fullmatch(text)
    if found:
        a, b, c = found.groups()
        days = {"dmy": _day(c, int(b), a), "mdy": _day(c, int(a), b)}
        if len(c) == 2:
            days["ymd"] = _day(a, int(b), c)
        return {order: day for order, day in days.items() if day is not None}  # type: ignore[misc]
    weekday = _WEEKDAY.match(text)
    for words in (text, text[weekday.end() :]) if weekday else (text,):
        if found := _DAY_MONTH.fullmatch(words):
            d, m, y = found.groups()
        elif found := _MONTH_DAY.fullmatch(words):
            m, d, y = found.groups()
        elif found := _YEAR_MONTH.fullmatch(words):
            y, m, d = found.groups()
        else:
            continue
        return _in_any_order(y, _month(m), d)
    return {}


def read_clock(text: str) -> tuple[int, int | None] | None:
    """Return a clock time as µs since midnight and its offset from UTC in µs, None where none is stated."""
    text = text.strip()
    found = _CLOCK.fullmatch(text)
    if found and not (found[2] or found[5]):
        found = None
    found = found or _CLOCK_COMPACT.fullmatch(text)
    if not found:
        return None
    hour, minute, second = int(found[1]), int(found[2] or 0), int(found[3] or 0)
    half = (found[5] or "").lower()
    if half and hour <= 12:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 24 or minute > 59 or second > 60 or (hour == 24 and minute + second):
        return None
    micros = int((found[4] or "0")[:6].ljust(6, "0"))
    return ((hour * 60 + minute) * 60 + second) * SECOND + micros, _offset(found[6], found[7])


def choose_order(texts: Iterable[str], latest: date | None) -> tuple[Order, str]:
    """Decide by all the dates of a file, in their order, whether days or months come first.

    An order that reads more of them wins; then one that puts none after `latest`; then the one in which
    more neighbouring dates are neighbouring days. What is still open is read days first. The second value
    says in words what was assumed, empty when nothing was.
    """
    dates = {text: days for text in texts if (days := read_dates(text))}
    orders: tuple[Order, ...] = ("dmy", "mdy", "ymd")
    scores = {}
    for order in orders:
        run = [each[order] for each in dates.values() if order in each]
        past = latest is None or all(day <= latest for day in run)
        steps = sum(abs((b - a).days) == 1 for a, b in pairwise(run))
        scores[order] = (len(run), past, steps)
    best = max(orders, key=lambda order: scores[order])  # of equals the first: days first
    if scores["dmy"][0] != scores["mdy"][0] or best == "ymd":
        return best, ""
    example = next((text for text, each in dates.items() if each.get("dmy") != each.get("mdy")), None)
    if example is None:
        return "dmy", ""
    if "." in example:  # common practice, no source: dates with points are written days first
        return "dmy", ""
    told = scores["dmy"] != scores["mdy"]
    why = "judged by the run of the days" if told else "the dates alone do not tell"
    first = {"dmy": "days", "mdy": "months"}[best]
    return best, f"{first} come first ({example} is {read_dates(example)[best].isoformat()}): {why}"


class StampReader:
    """Reads the stamps of one file; each distinct date and clock text is worked out only once."""

    def __init__(self, order: Order) -> None:
        self._order = order
        self._days: dict[str, int | None] = {}
        self._clocks: dict[str, tuple[int, int | None] | None] = {}

    def join(self, day_text: str, clock_text: str) -> Stamp | None:
        """Return the stamp made of a date and a clock time, None when either does not read."""
        if day_text not in self._days:
            day = read_dates(day_text).get(self._order)
            self._days[day_text] = None if day is None else (day.toordinal() - _EPOCH_DAY) * DAY
        if clock_text not in self._clocks:
            self._clocks[clock_text] = read_clock(clock_text)
        start, clock = self._days[day_text], self._clocks[clock_text]
        if start is None or clock is None:
            return None
        return start + clock[0], clock[1]


def _in_any_order(year: str, month: int, day: str) -> dict[Order, date]:
    found = _day(year, month, day)
    return {} if found is None else {"dmy": found, "mdy": found, "ymd": found}


def _day(year: str, month: int, day: str) -> date | None:
    full = int(year) + (2000 if len(year) == 2 else 0)
    if not _FIRST_YEAR <= full <= _LAST_YEAR:
        return None
    try:
        return date(full, month, int(day))
    except ValueError:
        return None


def _month(word: str) -> int:
    plain = unicodedata.normalize("NFKD", word.lower()).encode("ascii", "ignore").decode()
    return _MONTHS.get(plain[:4]) or _MONTHS.get(plain[:3]) or 0


def _offset(letters: str | None, figures: str | None) -> int | None:
    if not figures:
        return 0 if letters else None
    digits = figures[1:].replace(":", "").ljust(4, "0")
    minutes = int(digits[:2]) * 60 + int(digits[2:])
    return (-minutes if figures[0] == "-" else minutes) * 60 * SECOND
