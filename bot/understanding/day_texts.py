"""A day written as text: a line that names the day, then a line for each entry. Written here and read here.

Each line is one that `understand` reads by itself; the day stands above them, so that they need no dates.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

from bot.model.entries import Meal, Sleep, Stored
from bot.model.units import GlucoseUnit
from bot.understanding.context import Context
from bot.understanding.phrasing import word_entry
from bot.understanding.pieces.days import MONTHS
from bot.understanding.pieces.instants import place
from bot.understanding.questions.periods import WEEKDAYS, read_period
from bot.understanding.words.tokens import read_tokens

MOST_LINES = 60
_YEAR = r"(?: (?P<year>\d{4}))?"
_WEEKDAY = rf"(?:{'|'.join(f'{day[:3]}(?:{day[3:]})?' for day in WEEKDAYS)})"
_MONTH = rf"(?P<month>{'|'.join(month[:3] for month in MONTHS)})[a-z]*"
_HEADS = (
    re.compile(r"(?P<year>\d{4})-(?P<number>\d{2})-(?P<day>\d{2})"),
    re.compile(rf"(?:{_WEEKDAY},? )?(?:the )?(?P<day>\d{{1,2}})(?:st|nd|rd|th)?\.? {_MONTH}\.?,?{_YEAR}"),
    re.compile(rf"(?:{_WEEKDAY},? )?{_MONTH}\.? (?P<day>\d{{1,2}})(?:st|nd|rd|th)?,?{_YEAR}"),
)
_NAMED = re.compile(rf"today|yesterday|(?:on |last )?(?:{'|'.join(WEEKDAYS)})")
_BEGINS = re.compile(
    r"(?:(?:breakfast|lunch|dinner|supper|snack|drink)(?: at)? )?\d{1,2}(?:[:.]\d{2}|\s?[ap]m)\b",
    re.IGNORECASE,
)
_CLOCK = re.compile(
    r"\b\d{1,2}(?:[:.]\d{2}|\s?[ap]m)\b|\b(?:breakfast|lunch|dinner|supper|snack)\b", re.IGNORECASE
)


def write_day(day: date, entries: Sequence[Stored], zone: ZoneInfo, unit: GlucoseUnit) -> str:
    """Return a day as text: what it is called, then a line for each entry, with the amounts they have."""
    head = f"{day:%A} {day.day} {day:%B} {day.year}"
    return "\n".join([head, *(write_line(entry, day, zone, unit) for entry in entries)])


def write_line(entry: Stored, day: date, zone: ZoneInfo, unit: GlucoseUnit) -> str:
    """Return an entry of a day as a line; two that are the same to the minute and the gram share it."""
    if isinstance(entry, Meal):  # a guess is written out, so that it is the same when it is read
        entry = replace(entry, items=tuple(replace(item, stated=item.grams > 0) for item in entry.items))
    days = [day, day - timedelta(days=1)] if isinstance(entry, Sleep) and entry.to_at is not None else [day]
    dated = "|".join(each.isoformat() for each in days)
    return re.sub(rf"\b(?:{dated}) (?=\d\d:\d\d)", "", word_entry(entry, zone, unit))


def read_day(text: str, context: Context) -> tuple[date, list[str]] | None:
    """Return the day that a text is headed with and its lines, today without a head; None for other text."""
    head, *lines = [said for line in text.splitlines() if (said := line.strip(" -•*·\t"))] or [""]
    if not lines or len(lines) > MOST_LINES:
        return None
    if all(map(_BEGINS.match, (head, *lines))):
        return context.local_now.date(), [head, *lines]
    day = _day_of(head.strip(" :.,#*").lower(), context) if all(map(_CLOCK.search, lines)) else None
    return None if day is None else (day, lines)


def _day_of(head: str, context: Context) -> date | None:
    today = context.local_now.date()
    if _NAMED.fullmatch(head):
        since = read_period(read_tokens(head), context)[0]
        return None if since is None else since.astimezone(context.zone).date()
    for form in _HEADS:
        found = form.fullmatch(head)
        if found is not None:
            return _date_of(found.groupdict(), today)
    return None


def _date_of(found: dict[str, str | None], today: date) -> date | None:
    """Return the date of what a head says; without a year the last day so called."""
    months = [month[:3] for month in MONTHS]
    number = int(found["number"] or 0) if "number" in found else 1 + months.index(found["month"] or "")
    said = found["year"]
    for year in [int(said)] if said else [today.year, today.year - 1]:
        try:
            day = date(year, number, int(found["day"] or 0))
        except ValueError:
            continue
        if said or day <= today:
            return day
    return None


def context_of(day: date, context: Context) -> Context:
    """Return what the lines of a day are understood against: its last minute, and nothing they may change."""
    end = place(day + timedelta(days=1), time(0), context.zone) - timedelta(minutes=1)
    return replace(context, now=min(end, context.now), edited=True, log=(), last=None, pointed=None)
