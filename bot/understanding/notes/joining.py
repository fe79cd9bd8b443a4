"""Parts of a note that say one thing together: the two ends of a night, one movement, times that rise."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from bot.model.entries import Slot
from bot.understanding.foods.meals import MealDraft
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.instants import NIGHT_ENDS, resolve
from bot.understanding.pieces.pieces import Amount, Clause, Moment
from bot.understanding.states.feelings import NAMES
from bot.understanding.states.nights import resolve_sleep
from bot.understanding.words.lexicon import TAGS

# One state said in two words is noted once, under the first.
_SYMPTOMS = {
    "period": ("cramps",),
    "ill": ("achy", "fever", "ill"),
    "flu": ("achy", "fever"),
    "fever": ("achy",),
}
LATELY, MORNING = timedelta(hours=4), 7  # from seven on a time is as likely of the morning
EARLIEST, DAY_BEGINS, SOON = 4, 6, timedelta(hours=6)
"""From which hour something is told of a morning, and before six only where what follows is soon after."""
P = TypeVar("P")


def join_drafts(parts: Sequence[P]) -> list[P]:
    """Return the parts with drafts that complete each other made one, at the place of the first."""
    joined: list[P] = []
    last: Draft | None = None
    for part in parts:
        if isinstance(part, Draft):
            if last is not None and _completes(last, part, joined[-1] is last):
                continue
            last = part
        joined.append(part)
    return joined


def _completes(first: Draft, second: Draft, beside: bool) -> bool:
    """Add `second` to `first` where both tell of one night, or of one movement; tell whether it was done."""
    if first.kind != second.kind:
        return False
    if first.kind == "feeling" and beside and first.what == second.what:
        first.moment = first.moment or second.moment
    elif first.kind == "sleep" and _is_one_night(first, second):
        _join_nights(first, second)
    elif first.kind == "feeling" and beside and first.what not in NAMES and not second.clause.strong:
        first.what = second.what  # "feeling acidity and bloated"
    elif first.kind == "activity" and beside and (_counts_steps(first, second) or _is_detail(first, second)):
        pass
    elif first.kind == "activity" and beside and _is_one_movement(first, second):
        first.what, first.minutes = second.what, second.minutes
        first.moment = second.moment or first.moment
    elif first.kind != "feeling" or not beside or second.what not in _SYMPTOMS.get(first.what, ()):
        return False
    pieces = (*first.clause.pieces, *second.clause.pieces)
    first.clause = Clause(pieces, first.clause.leads, first.clause.strong)
    return True


def _counts_steps(first: Draft, second: Draft) -> bool:
    """Tell whether a count of steps only says how far it was: "climbed the tower, 300 steps"."""
    steps = any(isinstance(p, Amount) and p.unit == "step" for p in second.clause.pieces)
    near = second.moment is None and second.minutes is None and not second.clause.strong
    return steps and near and first.what in ("walk", "climb", "stairs", "hike", "run")


def _is_detail(first: Draft, second: Draft) -> bool:
    """Tell whether a movement only says what another was: "gym 5 to 6, weights"."""
    open_too = second.minutes is None and second.moment is None
    return _is_told(first) and (_only_details(second) or (first.what == "workout" and open_too))


def _is_told(draft: Draft) -> bool:
    return draft.minutes is not None or (draft.moment is not None and draft.moment.until is not None)


def _only_details(second: Draft) -> bool:
    """Tell whether a movement only says what another was: "chores 4 to 5:30, lots of lifting"."""
    said = {"lots", "mostly", "mainly", "including"} & set(second.clause.words)
    lot = any(isinstance(p, Amount) and p.vague for p in second.clause.pieces)
    return (bool(said) or lot) and second.minutes is None and second.moment is None


def _is_one_movement(first: Draft, second: Draft) -> bool:
    same = first.what in (second.what, "sport") and not (first.moment is not None and first.moment.has_clock)
    told = second.minutes is not None and second.moment is None  # "salsa night! 2 hours dancing"
    return same and first.minutes is None and (told or not second.clause.strong)


def _is_one_night(first: Draft, second: Draft) -> bool:
    if "nap" in (first.what, second.what):
        return False
    ends = {first.what, second.what}
    if ends == {"bed"}:
        return bool(TAGS.fell_asleep & set(second.clause.words))
    if ends == {"woke"}:
        return bool({"snoozed", "dozed"} & set(second.clause.words))
    if ends == {"bed", "woke"}:
        return first.moment is not None and first.moment.until is None
    lengths = [d for d in (first, second) if d.what == "slept"]
    return len(lengths) == 1 and lengths[0].moment is None and len(ends) == 2


def _join_nights(first: Draft, second: Draft) -> None:
    if "slept" in (first.what, second.what):
        length, end = (first, second) if first.what == "slept" else (second, first)
        first.what, first.moment, first.minutes = end.what, end.moment, length.minutes
        return
    if first.what == second.what:
        first.moment = second.moment
        return
    bed, woke = (first, second) if first.what == "bed" else (second, first)
    if bed.moment is not None:
        first.moment = replace(bed.moment, until=woke.moment)
    first.what = "slept"


def settle_halves(parts: Sequence[object], now: datetime, zone: ZoneInfo) -> None:
    """Let bare hours rise through a note: "at 8 eggs, at 1 a wrap, at 7 curry" begins in the morning."""
    bound: datetime | None = None
    if not any(_is_bare(m) for part in parts for m in _moments(part)):
        return
    for part in reversed(parts):
        if isinstance(part, Draft) and part.kind != "sleep":
            part.moment, bound = _under(part.moment, bound, now, zone)
        elif isinstance(part, MealDraft):
            if part.slot is not None:
                found = resolve(part.moment, now, zone, part.slot)
                bound = found.at if part.moment is not None and part.moment.has_clock else bound
                continue
            for clause in reversed(part.parts):
                for marks in (clause.tail, clause.lead):
                    for k, mark in reversed(list(enumerate(marks))):
                        if isinstance(mark, Moment):
                            under, bound = _under(mark, bound, now, zone)
                            marks[k] = under or mark


def settle_rising(parts: Sequence[object], now: datetime, zone: ZoneInfo, *, lone: bool = False) -> None:
    """Let open hours follow what was said before them: after "woke at 6" oats "at 7" are of the morning.

    "7pm 149, walked at 7:10" walked in the evening. What would have to go backwards stays as it was said.
    lone: the note holds one time only
    """
    last: datetime | None = None
    for part in parts:
        if isinstance(part, Draft) and part.kind == "sleep":
            last = resolve_sleep(part, now, zone)[1] or last
        elif isinstance(part, Draft):
            if lone and part.kind in ("activity", "sync"):
                part.moment = _lately(
                    part.moment, now, zone, until=MORNING if part.kind == "activity" else 12
                )
            part.moment, last = _risen(part.moment, last, None, now, zone)
        elif isinstance(part, MealDraft):
            slot = part.slot
            for clause in part.parts:
                for marks in (clause.lead, clause.tail):
                    for k, mark in enumerate(marks):
                        if isinstance(mark, Moment):
                            risen, last = _risen(mark, last, slot, now, zone)
                            marks[k] = risen or mark


def _lately(moment: Moment | None, now: datetime, zone: ZoneInfo, until: int) -> Moment | None:
    """Take "gym 5:15" for the afternoon where that is hours ago and the morning half a day."""
    if moment is None or moment.hour is None or not 1 <= moment.hour < until:
        return moment
    end = moment.until
    if end is not None and not moment.hour <= (end.hour or 0) < 12:
        return moment
    if any(m.padded or m.half or m.part or m.has_day or m.loose for m in (moment, *filter(None, [end]))):
        return moment
    evening = replace(moment, half="pm", until=end and replace(end, half="pm"))
    at = resolve(evening.until or evening, now, zone).at
    return evening if at is not None and timedelta(0) <= now - at <= LATELY else moment


def _risen(
    moment: Moment | None, last: datetime | None, slot: Slot | None, now: datetime, zone: ZoneInfo
) -> tuple[Moment | None, datetime | None]:
    """Choose the half of the day that puts an open hour soonest after `last`; return it and a new `last`."""
    if moment is None or moment.hour is None:
        return moment, last
    told = moment.padded or moment.half or moment.part or moment.has_day or slot is not None
    at = resolve(moment, now, zone, slot).at
    if told or not 1 <= moment.hour <= 12:
        return moment, at or last
    if moment.until is not None:
        return _risen_span(moment, at, last, now, zone), at or last
    if last is None:
        return moment, None if moment.loose else at
    if at is not None and at >= last and not moment.loose:
        return moment, at
    halves = [replace(moment, half=half, loose=False) for half in ("am", "pm")]
    times = [(resolve(half, now, zone).at, half) for half in halves]
    later = [(at, half) for at, half in times if at is not None and at >= last]
    if not later:
        return moment, at or last
    soonest = min(later, key=lambda found: found[0])
    return soonest[1], soonest[0]


def _risen_span(
    moment: Moment, at: datetime | None, last: datetime | None, now: datetime, zone: ZoneInfo
) -> Moment:
    """Move "5:45-6:15" to the evening where it would begin before what was said before it."""
    end = moment.until
    evening = replace(moment, half="pm", loose=False)
    later = resolve(replace(evening, until=None), now, zone).at
    if end is None or at is None or last is None or later is None or not at < last <= later:
        return moment
    return replace(evening, until=replace(end, half=end.half or "pm", loose=False))


def _moments(part: object) -> Iterator[Moment]:
    """Yield the times of a part."""
    if isinstance(part, Draft) and part.moment is not None:
        yield part.moment
    elif isinstance(part, MealDraft):
        yield from (mark for mark in part.marks if isinstance(mark, Moment))


def _is_bare(moment: Moment) -> bool:
    """Tell whether a time such as "at 8" may be morning or evening."""
    return moment.loose and not (moment.half or moment.part or moment.has_day)


def _under(
    moment: Moment | None, bound: datetime | None, now: datetime, zone: ZoneInfo
) -> tuple[Moment | None, datetime | None]:
    """Choose the half of the day that puts a bare hour before `bound`; return it and the new bound."""
    if moment is None or not moment.has_clock:
        return moment, bound
    if _is_bare(moment) and bound is not None and moment.until is None:
        local = now.astimezone(zone)
        halves = [replace(moment, half=half, loose=False) for half in ("pm", "am")]
        for chosen in halves:
            at = resolve(chosen, now, zone).at
            if at is None or at > bound or at.astimezone(zone).date() != local.date():
                continue
            hour = at.astimezone(zone).hour
            early = hour >= DAY_BEGINS or (hour >= EARLIEST and bound - at <= SOON)
            if early or local.hour < NIGHT_ENDS:
                return chosen, at
    return moment, resolve(moment, now, zone).at
