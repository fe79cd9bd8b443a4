"""To which instant an entry moves: the time said, on the entry's own day unless another is named."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from bot.model.entries import Correction, Meal, Sleep, Slot, Stored
from bot.understanding.context import Context
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.shapes import Frame
from bot.understanding.pieces.drafts import join_moments
from bot.understanding.pieces.instants import clocks_of, day_of, is_ahead, place, resolve
from bot.understanding.pieces.pieces import Amount, Moment
from bot.understanding.pieces.slots import USUAL_TIME, fits_hour
from bot.understanding.pieces.times import fold_times
from bot.understanding.words.tokens import read_tokens

BED_AGAIN, FAR_OFF = timedelta(minutes=90), timedelta(hours=4)
_PART_CLOCKS = {
    "morning": time(8),
    "afternoon": time(15),
    "evening": time(19),
    "night": time(21),
    "tonight": time(19),
}


def move(
    entry: Stored, moments: Sequence[Moment], context: Context, slot: Slot | None = None
) -> datetime | None:
    """Return when an entry was after all (it may be still to come), None where that cannot be told.

    slot: the meal's name that was said with the time ("yesterday's dinner")
    """
    moment = join_moments(list(moments))
    was = None if isinstance(entry, Sleep) else entry.at
    if moment is None:
        return None
    if was is None or moment.instant or moment.ago_min is not None:
        return resolve(moment, context.now, context.zone).at
    local = was.astimezone(context.zone)
    day = day_of(moment, context.local_now.date())
    if moment.hour is None and day is not None and slot in USUAL_TIME:
        return place(day, USUAL_TIME[slot], context.zone)
    if moment.hour is None and day is not None:
        clock = (
            _PART_CLOCKS[moment.part]
            if moment.part in _PART_CLOCKS and not _is_in(moment, local)
            else local.time()
        )
        return place(day, clock, context.zone)
    if moment.hour is None:
        return None
    clocks = clocks_of(moment)
    slot = slot or (entry.slot if isinstance(entry, Meal) else None)
    named = (
        [c for c in clocks if slot is not None and fits_hour(slot, c.hour)]
        if slot in ("breakfast", "lunch", "dinner")
        else []
    )
    found = [place(day or local.date(), clock, context.zone) for clock in clocks]
    past = [at for at in found if not is_ahead(at, context.now)]
    if not past:
        return min(found)  # still to come: who asks says so
    if len(past) > 1 and len(named) == 1:
        past = [at for at in past if at.astimezone(context.zone).hour == named[0].hour] or past
    return min(past, key=lambda at: abs(at - was)) if past else None


def _is_in(moment: Moment, local: datetime) -> bool:
    clock = _PART_CLOCKS[moment.part]
    return abs((local.hour - clock.hour + 12) % 24 - 12) <= 4


def as_moment(element: Element) -> Moment | None:
    """Return the time that an element is, a bare number taken for an hour; None where it is none."""
    piece = element.piece
    if isinstance(piece, Moment):
        return piece
    if not isinstance(piece, Amount) or piece.unit or not 1 <= piece.value <= 24:
        return None
    return next((p for p in fold_times(read_tokens(f"at {element.said}")) if isinstance(p, Moment)), None)


def set_night(entry: Sleep, frame: Frame, context: Context) -> Sleep | None:
    """Return a night with its beginning, its end or both at other times."""
    woke, abed = frame.first("woke"), frame.first("abed")
    until = None if woke is None else as_moment(woke)
    to = [m for e in frame.all("to", "hour") if (m := as_moment(e)) is not None]
    if until is not None:
        return _with_end(entry, until, context)
    if abed is not None and isinstance(abed.piece, Moment):
        return _with_start(entry, abed.piece, context)
    moment = join_moments(to)
    if moment is None:
        by = frame.first("by")
        minutes = by.piece.minutes if by is not None and isinstance(by.piece, Amount) else None
        if minutes is None or entry.to_at is None:
            return None
        shift = timedelta(minutes=minutes) * (-1 if frame.first("before") else 1)
        return replace(entry, to_at=entry.to_at + shift)
    if moment.until is not None:
        ended = _with_end(entry, moment.until, context)
        return None if ended is None else _with_start(ended, replace(moment, until=None), context)
    if entry.from_at is None and entry.to_at is not None:  # "slept from 11", of a night that only ended
        ended = _with_end(entry, moment, context)
        far = ended is None or ended.to_at is None or abs(ended.to_at - entry.to_at) > FAR_OFF
        return _with_start(entry, moment, context) if far else ended
    old = next((e.piece for e in frame.all("old") if isinstance(e.piece, Moment)), None)
    start_off, end_off = (_off(at, old or moment, context) for at in (entry.from_at, entry.to_at))
    return _with_start(entry, moment, context) if start_off < end_off else _with_end(entry, moment, context)


def _off(at: datetime | None, moment: Moment, context: Context) -> timedelta:
    if at is None or moment.hour is None:
        return timedelta(days=9)
    return min(abs(_near(at, clock, context) - at) for clock in clocks_of(moment))


def _near(at: datetime, clock: time, context: Context) -> datetime:
    """Return the instant with this wall-clock time that is nearest to another."""
    day: date = at.astimezone(context.zone).date()
    days = (day - timedelta(days=1), day, day + timedelta(days=1))
    return min((place(d, clock, context.zone) for d in days), key=lambda found: abs(found - at))


def _with_end(entry: Sleep, moment: Moment, context: Context) -> Sleep | None:
    near = entry.to_at or context.now
    if moment.hour is None:
        return None
    found = [_near(near, clock, context) for clock in clocks_of(moment)]
    fits = [
        at for at in found if not is_ahead(at, context.now) and (entry.from_at is None or at > entry.from_at)
    ]
    return replace(entry, to_at=min(fits, key=lambda at: abs(at - near))) if fits else None


def _with_start(entry: Sleep, moment: Moment, context: Context) -> Sleep | None:
    near = entry.from_at or (entry.to_at or context.now) - timedelta(hours=8)
    if moment.hour is None:
        return None
    found = [_near(near, clock, context) for clock in clocks_of(moment)]
    fits = [at for at in found if entry.to_at is None or at < entry.to_at]
    return replace(entry, from_at=min(fits, key=lambda at: abs(at - near))) if fits else None


def later_bed(entry: Sleep, context: Context) -> Correction | None:
    """Return a bedtime told once more soon after it as its change: "not yet. now really going to bed"."""
    if entry.from_at is None or entry.to_at is not None:
        return None
    for noted in reversed(context.noted):
        before = noted.entry
        if isinstance(before, Sleep) and before.to_at is None and before.from_at is not None:
            soon = timedelta(0) < entry.from_at - before.from_at <= BED_AGAIN
            after = replace(before, from_at=entry.from_at)
            said = Correction("time", at=entry.from_at, said=entry.said, target=noted.id, after=after)
            return said if soon else None
    return None
