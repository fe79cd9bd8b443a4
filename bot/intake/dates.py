"""Dates as files write them, and whether days or months come first."""

import re
from collections.abc import Iterable
from datetime import date
from itertools import pairwise
from typing import Literal

from bot.intake.words import fold

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
_YEAR_MONTH = re.compile(rf"(\d{{4}})\.?[-/\s]*{_WORD}[-/\s]*(\d{{1,2}})\.?")
_YEAR_WORD = re.compile(r"(?<=\d)\s+[гr]\.$")  # "year", as Russian and Polish dates end
_WEEKDAY = re.compile(r"[^\W\d_]{2,12}\.?,?\s+")
# First letters of the months, folded: English, German, Dutch, French, Spanish, Italian, Portuguese, the
# North; then Polish, Czech, Finnish, Turkish, Hungarian, Russian, Greek (from memory).
_MONTHS = {
    prefix: month
    for month, prefixes in enumerate(
        (
            "jan ene gen sty led tam oca янв ιαν", "feb fev lut uno hel sub фев φεβ",
            "mar maa mrt bre мар μαρ", "apr avr abr kwi dub huh nis апр απρ",
            "may mai mag mei maj kve tou маи мая μαι",
            "jun juin giu cze cervna cerven kes haz июн ιουν",
            "jul juil lug lip cervence cervenec hei tem июл ιουλ",
            "aug aou ago sie srp elo agu авг αυγ", "sep set wrz zar syy eyl szep сен σεπ",
            "oct okt ott out paz rij lok eki окт οκτ", "nov lis marr kas ноя νοε",
            "dec dez dic des gru pro jou ara дек δεκ",
        ),
        start=1,
    )
    for prefix in prefixes.split()
}  # fmt: skip


def read_dates(text: str) -> dict[Order, date]:
    """Return the days that `text` can mean, by the order of its numbers; all agree where it is plain."""
    words = _YEAR_WORD.sub("", text.strip())
    weekday = _WEEKDAY.match(words)
    return _read(words) or (_read(words[weekday.end() :]) if weekday else {})


def choose_order(
    texts: Iterable[str], latest: date | None, day_first: bool | None = None
) -> tuple[Order, str, str]:
    """Decide by all the dates of a file, in their order, whether days or months come first.

    An order that reads more of them wins; then one that puts none after `latest`; then the one in which
    its dates lie closer together. Of what is still open `day_first` decides. The second value says in words
    what was assumed, the third is a date that is truly open; both are empty otherwise.
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
        return best, "", ""
    if day_first is not None:
        return ("dmy" if day_first else "mdy"), "", ""
    example = next((text for text, each in dates.items() if each.get("dmy") != each.get("mdy")), None)
    if example is None or "." in example:  # common practice, no source: with points, days are written first
        return "dmy", "", ""
    if scores["dmy"] == scores["mdy"]:
        return "dmy", "", example
    first = {"dmy": "days", "mdy": "months"}[best]
    day = read_dates(example)[best].isoformat()
    return best, f"{first} come first ({example} is {day}): judged by the file as a whole", ""


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
    plain = fold(word)
    return next((_MONTHS[part] for part in (plain, plain[:4], plain[:3]) if part in _MONTHS), 0)
