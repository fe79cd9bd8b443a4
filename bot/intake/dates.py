"""Dates as files write them, and whether days or months come first."""

import re
import unicodedata
from collections.abc import Iterable
from datetime import date
from itertools import pairwise
from typing import Literal

Order = Literal["dmy", "mdy", "ymd"]

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


def read_dates(text: str) -> dict[Order, date]:
    """Return the days that `text` can mean, by the order of its numbers; all agree where it is plain."""
    words = text.strip()
    weekday = _WEEKDAY.match(words)
    return _read(words) or (_read(words[weekday.end() :]) if weekday else {})


def choose_order(texts: Iterable[str], latest: date | None) -> tuple[Order, str]:
    """Decide by all the dates of a file, in their order, whether days or months come first.

    An order that reads more of them wins; then one that puts none after `latest`; then the one in which
    its dates lie closer together. What is still open is read days first. The second value
    says in words what was assumed, empty when nothing was.
    """
    dates = {text: days for text in texts if (days := read_dates(text))}
    orders: tuple[Order, ...] = ("dmy", "mdy", "ymd")
    scores = {}
    for order in orders:
        run = [each[order] for each in dates.values() if order in each]
        past = latest is None or all(day <= latest for day in run)
        jumps = sum(abs((b - a).days) for a, b in pairwise(run))
        scores[order] = (len(run), past, -jumps)
    best = max(orders, key=lambda order: scores[order])  # of equals the first: days first
    if scores["dmy"][0] != scores["mdy"][0] or best == "ymd":
        return best, ""
    example = next((text for text, each in dates.items() if each.get("dmy") != each.get("mdy")), None)
    if example is None:
        return "dmy", ""
    if "." in example:  # common practice, no source: dates with points are written days first
        return "dmy", ""
    told = scores["dmy"] != scores["mdy"]
    why = "judged by the file as a whole" if told else "the dates alone do not tell"
    first = {"dmy": "days", "mdy": "months"}[best]
    return best, f"{first} come first ({example} is {read_dates(example)[best].isoformat()}): {why}"


def _read(words: str) -> dict[Order, date]:
    if found := _YEAR_FIRST.fullmatch(words):
        y, m, d = (found[1], found[2], found[3]) if found[1] else (found[4], found[5], found[6])
        return _in_any_order(y, int(m), d)
    if found := _OPEN.fullmatch(words):
        a, b, c = found.groups()
        days: dict[Order, date | None] = {"dmy": _day(c, int(b), a), "mdy": _day(c, int(a), b)}
        if len(c) == 2:
            days["ymd"] = _day(a, int(b), c)
        return {order: day for order, day in days.items() if day is not None}
    if found := _DAY_MONTH.fullmatch(words):
        d, m, y = found.groups()
    elif found := _MONTH_DAY.fullmatch(words):
        m, d, y = found.groups()
    elif found := _YEAR_MONTH.fullmatch(words):
        y, m, d = found.groups()
    else:
        return {}
    return _in_any_order(y, _month(m), d)


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
