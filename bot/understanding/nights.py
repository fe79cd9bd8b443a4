"""When a sleep began and ended: the latest night or nap that the said times fit."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.understanding.drafts import Draft
from bot.understanding.instants import clocks_of, day_of, is_ahead, place, resolve
from bot.understanding.pieces import Moment

MOST_HOURS = 14
_HOW_TO_SAY = "From when to when did you sleep? Say it like “slept 23:00 to 6:30”."

Found = tuple[datetime | None, datetime | None, str]


def resolve_sleep(draft: Draft, now: datetime, zone: ZoneInfo) -> Found:
    """Return when a sleep began and ended (None: not said), and what to ask."""
    moment = draft.moment
    if draft.what in ("bed", "woke") and moment is not None:
        found = resolve(moment, now, zone)
        return (found.at, None, found.ask) if draft.what == "bed" else (None, found.at, found.ask)
    if moment is not None and moment.until is not None:
        return _span(moment, moment.until, now, zone, nap=draft.what == "nap")
    if draft.minutes is not None and (draft.what == "nap" or moment is not None):
        lasted = timedelta(minutes=draft.minutes)
        if moment is None:
            return now - lasted, now, ""
        found = resolve(moment, now, zone)
        return (
            (None, None, found.ask or _HOW_TO_SAY) if found.at is None else (found.at, found.at + lasted, "")
        )
    return None, None, _HOW_TO_SAY


def _span(start: Moment, end: Moment, now: datetime, zone: ZoneInfo, *, nap: bool) -> Found:
    today = now.astimezone(zone).date()
    start_day, end_day = day_of(start, today), day_of(end, today)
    spans = [
        (from_at, to_at)
        for to_at in _instants(end, end_day, today, zone)
        for from_at in _instants(
            start, start_day if start.on is not None else None, to_at.astimezone(zone).date(), zone
        )
        if not is_ahead(to_at, now) and timedelta(0) < to_at - from_at <= timedelta(hours=MOST_HOURS)
    ]
    if not spans:
        return None, None, _HOW_TO_SAY

    def rank(span: tuple[datetime, datetime]) -> tuple[bool, float, float]:
        hour = span[0].astimezone(zone).hour
        by_night = hour >= 19 or hour < 5
        hours = (span[1] - span[0]).total_seconds() / 3600
        # A night before a nap, about eight hours before other lengths, and the latest of those.
        return nap == by_night, hours if nap else abs(hours - 8), -span[1].timestamp()

    best = min(spans, key=rank)
    return best[0], best[1], ""


def _instants(moment: Moment, day: date | None, today: date, zone: ZoneInfo) -> list[datetime]:
    clocks: list[time] = clocks_of(moment)
    days = [day] if day is not None else [today, today - timedelta(days=1)]
    return [place(on, clock, zone) for on in days for clock in clocks]
