"""When a sleep began and ended: the latest night or nap that the said times fit."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.model.entries import Sleep
from bot.understanding.context import Noted
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.instants import clocks_of, day_of, is_ahead, place, resolve
from bot.understanding.pieces.pieces import Moment

MOST_HOURS = 14
MOST_NIGHT = timedelta(hours=MOST_HOURS)
LONGEST_NAP_MIN, LONGEST_SLEEP_MIN = 180, 20 * 60
ODD_HOURS, PER_HOUR_AGO = 6.0, 0.45  # in hours that a night differs from eight
JUST_NOW = timedelta(minutes=45)
"""A waking told so soon after it is that one, whatever the hour: "woke at 4" at 16:10 is of a day's sleep."""
LONGEST_H = 12  # a longer sleep is rather one with another end
LONGEST_AGO_H = 18  # a sleep that ended longer ago is rather another one
NIGHT_STARTS_TO_END, NIGHT_OVER = 4, 13  # o'clock: a night's sleep ends between these
NIGHT_TOLD_UNTIL = 14  # o'clock: "slept 7 hours" said later than that leaves the waking open
_HOW_TO_SAY = "From when to when did you sleep? Say it like “slept 23:00 to 6:30”."

Found = tuple[datetime | None, datetime | None, str]


def resolve_sleep(draft: Draft, now: datetime, zone: ZoneInfo) -> Found:
    """Return when a sleep began and ended (None: not said), and what to ask."""
    moment = draft.moment
    lasted = timedelta(minutes=draft.minutes or 0)
    if draft.what == "woke":
        if (
            moment is not None
            and moment.hour is not None
            and not (moment.half or moment.part or moment.padded)
            and not any(timedelta(0) <= now - at <= JUST_NOW for at in _today(moment, now, zone))
        ):
            moment = replace(moment, half="am", loose=False)  # people wake in the morning
        found = resolve(moment, now, zone)
        start = found.at - lasted if found.at is not None and lasted else None
        return start, found.at, found.ask
    if draft.what == "bed" and moment is not None and moment.until is None:
        at, ask = _bedtime(moment, now, zone)
        return at, at + lasted if at is not None and lasted else None, ask
    if moment is not None and moment.until is not None:
        hours = lasted.total_seconds() / 3600
        return _span(moment, moment.until, now, zone, nap=draft.what == "nap", lasted=hours)
    if draft.minutes is not None and draft.minutes > LONGEST_SLEEP_MIN:
        return None, None, _HOW_TO_SAY
    if draft.minutes is not None:
        if moment is None or not moment.has_clock:
            hour = now.astimezone(zone).hour
            short = draft.what == "nap" or draft.minutes <= LONGEST_NAP_MIN
            return (now - lasted, now, "") if short or hour < NIGHT_TOLD_UNTIL else (None, None, _HOW_TO_SAY)
        found = resolve(moment, now, zone)
        return (
            (None, None, found.ask or _HOW_TO_SAY) if found.at is None else (found.at, found.at + lasted, "")
        )
    return None, None, _HOW_TO_SAY


def bed_before(log: Iterable[Noted], now: datetime) -> datetime | None:
    """Return when the person went to bed last, by the diary of this night; None where it does not say."""
    beds = [n.entry.from_at for n in log if isinstance(n.entry, Sleep) and n.entry.to_at is None]
    return max((at for at in beds if at and timedelta(0) < now - at <= MOST_NIGHT), default=None)


def _today(moment: Moment, now: datetime, zone: ZoneInfo) -> list[datetime]:
    """Return when it is today, by each half of the day that it may be of."""
    today = now.astimezone(zone).date()
    return [] if moment.has_day else _instants(moment, today, today, zone, now)


def _bedtime(moment: Moment, now: datetime, zone: ZoneInfo) -> tuple[datetime | None, str]:
    """Resolve a bedtime: "10:30" said in the morning is the evening before, and so is "1030"."""
    found = resolve(moment, now, zone)
    today = now.astimezone(zone).date()
    if moment.has_day and found.at is not None and found.at.astimezone(zone).hour < NIGHT_STARTS_TO_END:
        later = found.at + timedelta(days=1)  # "yesterday dinner at 22:30, bed 00:30"
        return later if moment.days == -1 and not is_ahead(later, now) else found.at, found.ask
    if moment.has_day or moment.ago_min is not None or moment.hour is None:
        return found.at, found.ask
    times = [at for at in _instants(moment, None, today, zone, now) if not is_ahead(at, now)]
    nightly = [at for at in times if at.astimezone(zone).hour >= 18 or at.astimezone(zone).hour < 5]
    return (max(nightly), "") if nightly else (found.at, found.ask)


def _span(start: Moment, end: Moment, now: datetime, zone: ZoneInfo, *, nap: bool, lasted: float) -> Found:
    """Return when a sleep of two clock times was; lasted: how many hours it took, 0 for unsaid."""
    if not (start.has_day or end.has_day) and clocks_of(start) == clocks_of(end):
        return None, None, _HOW_TO_SAY  # "slept 6:00 to 6:00"
    today = now.astimezone(zone).date()
    start_day, end_day = day_of(start, today), day_of(end, today)
    spans = [
        (from_at, to_at)
        for to_at in _instants(end, end_day, today, zone, now)
        for from_at in _instants(
            start, start_day if start.on is not None else None, to_at.astimezone(zone).date(), zone, now
        )
        if not is_ahead(to_at, now) and timedelta(0) < to_at - from_at <= timedelta(hours=MOST_HOURS)
    ]
    if not spans and start.ago_min is not None:
        return now - timedelta(minutes=start.ago_min), None, ""  # "bed now, alarm at 6"
    if not spans:
        return None, None, _HOW_TO_SAY

    def rank(span: tuple[datetime, datetime]) -> tuple[bool, float, float]:
        hour, last = (at.astimezone(zone).hour for at in span)
        by_night = (hour >= 19 or hour < 5) and NIGHT_STARTS_TO_END <= last < NIGHT_OVER
        hours = (span[1] - span[0]).total_seconds() / 3600
        ago = (now - span[1]).total_seconds() / 3600
        # What ended lately comes first; then a night of about eight hours or a short nap by day, the latest.
        long_ago = ago > LONGEST_AGO_H and not start.has_day
        just_now = not nap and hours > LONGEST_NAP_MIN / 60 and now - span[1] <= JUST_NOW  # of a night shift
        odd = ODD_HOURS * (nap == by_night and not just_now) + (hours if nap else abs(hours - (lasted or 8)))
        odd += 2 * ODD_HOURS * (hours > LONGEST_H)
        return long_ago, odd + PER_HOUR_AGO * ago, -span[1].timestamp()

    best = min(spans, key=rank)
    return best[0], best[1], ""


def _instants(moment: Moment, day: date | None, today: date, zone: ZoneInfo, now: datetime) -> list[datetime]:
    if moment.ago_min is not None:
        return [now - timedelta(minutes=moment.ago_min)]
    if moment.instant:
        stamp = datetime.fromisoformat(moment.instant)
        return [stamp.astimezone(UTC)]
    clocks: list[time] = clocks_of(moment)
    days = [day] if day is not None else [today, today - timedelta(days=1)]
    return [place(on, clock, zone) for on in days for clock in clocks]
