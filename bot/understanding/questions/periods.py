"""Spans of time that a question names.

A week is today and the seven local days before it; "last week" is the calendar week before this one.
"""

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from bot.understanding.context import Context
from bot.understanding.pieces.days import MONTHS
from bot.understanding.pieces.instants import day_of, place
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.pieces import Moment, Piece
from bot.understanding.pieces.slots import SLOT_WORDS, USUAL_TIME
from bot.understanding.pieces.times import fold_times
from bot.understanding.words.tokens import Token

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
DAYS = rf"(?:{'|'.join(WEEKDAYS)})(?:'?s)?"
DAYS_OF = rf"{DAYS} (?:{'|'.join(SLOT_WORDS)})\b"
"""“Saturdays brunch”: a day before its meal."""
LONGEST_DAYS = 36_500
"""A span is no longer than a hundred years, which no diary is."""


def last_days(days: int, context: Context) -> datetime:
    """Return the midnight that begins the last so many local days, today included."""
    return midnight_of(context.local_now.date() - timedelta(days=days - 1), context)


def midnight_of(day: date, context: Context) -> datetime:
    """Return the midnight that begins a local day."""
    return place(day, time(0), context.zone)


def read_period(sentence: Sequence[Piece], context: Context) -> tuple[datetime, datetime] | tuple[None, None]:
    """Return the span of time that a sentence names; the end is now, or the midnight after a past day."""
    today = context.local_now.date()
    phrase = " ".join(t.text for t in sentence if isinstance(t, Token))
    count = re.search(r"\b(?:last|past) (\d{1,5}|[a-z]+) (day|week|month|year)s?\b", phrase)
    number = None if count is None else NUMBER_WORDS.get(count[1]) or (count[1].isdecimal() and int(count[1]))
    if count is not None and number:
        long = int(number) * {"day": 1, "week": 7, "month": 30, "year": 365}[count[2]]
        return last_days(min(max(1, long), LONGEST_DAYS), context), context.now
    said = [p for p in fold_times(list(sentence)) if isinstance(p, Moment) and p.has_day]
    of_week = next((p for p in said if p.weekday is not None and p.days is not None), None)
    if of_week is not None and (day := day_of(of_week, today)) is not None:  # "Tuesday last week"
        return midnight_of(day, context), midnight_of(day + timedelta(days=1), context)
    before = 14 if "week before last" in phrase else 7
    if "last week" in phrase or before > 7:
        monday = today - timedelta(days=today.weekday() + before)
        return midnight_of(monday, context), midnight_of(monday + timedelta(days=7), context)
    if re.search(r"\bweek\b", phrase):
        return last_days(8, context), context.now
    if "fortnight" in phrase:
        return last_days(14, context), context.now
    if "this month" in phrase:
        return midnight_of(today.replace(day=1), context), context.now
    if re.search(r"\bmonth\b", phrase):
        return last_days(31, context), context.now
    named = re.search(rf"\bin ({'|'.join(MONTHS)})\b", phrase)
    if named is not None:
        month = MONTHS.index(named[1]) + 1
        first = today.replace(year=today.year - (month > today.month), month=month, day=1)
        following = (first + timedelta(days=32)).replace(day=1)
        return midnight_of(first, context), min(context.now, midnight_of(following, context))
    dated = re.search(r"\b(?:on|for|since) the (\d{1,2}) (?:st|nd|rd|th)\b", phrase)
    if dated is not None and (day := _last_of(int(dated[1]), today)) is not None:
        ends = context.now if "since" in phrase else midnight_of(day + timedelta(days=1), context)
        return midnight_of(day, context), ends
    if re.search(r"\bthis morning(?:'s)?\b|\bthis (?:afternoon|evening)(?:'s)?\b", phrase):
        return last_days(1, context), context.now
    named_day = re.search(rf"(?:^|\b(?={DAYS_OF}))({'|'.join(WEEKDAYS)})(?:'?s)?\b", phrase)
    earliest = today - timedelta(days=LONGEST_DAYS)
    days = [day for p in said if (day := day_of(p, today)) is not None and earliest <= day <= today]
    if not days and named_day is not None:
        days = [today - timedelta(days=(today.weekday() - WEEKDAYS.index(named_day[1])) % 7 or 7)]
    if not days:
        return None, None
    spans = "since" in phrase or "between" in phrase or re.search(r"\bfrom\b.* to ", phrase) is not None
    last = days[-1] if spans and len(days) > 1 else today if "since" in phrase else days[0]
    end = context.now if last == today else midnight_of(last + timedelta(days=1), context)
    return midnight_of(days[0], context), end


def _last_of(number: int, today: date) -> date | None:
    """Return the last day of that number in a month that is over: "the 8th"."""
    first = today.replace(day=1)
    for month in (first, (first - timedelta(days=1)).replace(day=1)):
        try:
            day = month.replace(day=number)
        except ValueError:
            continue
        if day <= today:
            return day
    return None


def day_of_slot(slot: str, context: Context) -> tuple[datetime, datetime]:
    """Return today, or yesterday when that meal's time has not come yet."""
    local = context.local_now
    usual = next((t for s, t in USUAL_TIME.items() if s == slot), None)
    if usual is not None and local < place(local.date(), usual, context.zone) - timedelta(hours=2):
        return last_days(2, context), midnight_of(local.date(), context)
    return last_days(1, context), context.now
