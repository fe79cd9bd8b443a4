"""Parts of a note that say one thing together: the two ends of a night, one movement, times that rise."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from bot.understanding.drafts import Draft
from bot.understanding.instants import NIGHT_ENDS, resolve
from bot.understanding.meals import MealDraft
from bot.understanding.pieces import Clause, Moment

# One state said in two words is noted once, under the first.
_SYMPTOMS = {
    "period": ("cramps",),
    "ill": ("achy", "fever", "ill"),
    "flu": ("achy", "fever"),
    "fever": ("achy",),
}
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
    if beside and _woke_with(first, second):
        first.kind, first.what, first.moment = second.kind, second.what, second.moment
        return True
    if first.kind != second.kind:
        return False
    if first.kind == "sleep" and _is_one_night(first, second):
        _join_nights(first, second)
    elif first.kind == "activity" and beside and _is_one_movement(first, second):
        first.minutes, first.moment = second.minutes, second.moment or first.moment
    elif first.kind != "feeling" or not beside or second.what not in _SYMPTOMS.get(first.what, ()):
        return False
    pieces = (*first.clause.pieces, *second.clause.pieces)
    first.clause = Clause(pieces, first.clause.leads, first.clause.strong)
    return True


def _woke_with(first: Draft, second: Draft) -> bool:
    """Tell whether it is "woke up with a headache", which tells of no hour."""
    woke = first.kind == "sleep" and first.what == "woke" and first.moment is None
    return woke and second.kind == "feeling" and "with" in second.clause.leads


def _is_one_movement(first: Draft, second: Draft) -> bool:
    same = first.what == second.what and not (first.moment is not None and first.moment.has_clock)
    return same and first.minutes is None and not second.clause.strong


def _is_one_night(first: Draft, second: Draft) -> bool:
    if "nap" in (first.what, second.what):
        return False
    ends = {first.what, second.what}
    if ends == {"bed", "woke"}:
        return first.moment is not None and first.moment.until is None
    lengths = [d for d in (first, second) if d.what == "slept"]
    return len(lengths) == 1 and lengths[0].moment is None and len(ends) == 2


def _join_nights(first: Draft, second: Draft) -> None:
    if "slept" in (first.what, second.what):
        length, end = (first, second) if first.what == "slept" else (second, first)
        first.what, first.moment, first.minutes = end.what, end.moment, length.minutes
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


def settle_rising(parts: Sequence[object], now: datetime, zone: ZoneInfo) -> None:
    """Let times rise past noon as well: "7pm 149, walked at 7:10" walked in the evening."""
    before: datetime | None = None
    if not any(isinstance(part, Draft) and part.moment and _is_open(part.moment) for part in parts):
        return
    for part in parts:
        moment = part.moment if isinstance(part, Draft | MealDraft) else None
        if moment is None or not moment.has_clock:
            continue
        at = resolve(moment, now, zone, part.slot if isinstance(part, MealDraft) else None).at
        if isinstance(part, Draft) and part.kind != "sleep" and before and at and _is_open(moment):
            evening = replace(moment, half="pm")
            later = resolve(evening, now, zone).at if at < before else None
            if later is not None and before <= later:
                part.moment, at = evening, later
        before = at


def _is_open(moment: Moment) -> bool:
    """Tell whether a time such as "7:10" may be in the evening as well."""
    if moment.hour is None or moment.hour >= 12 or moment.until is not None:
        return False
    return not (moment.padded or moment.half or moment.part or moment.has_day or moment.loose)


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
            if at.astimezone(zone).hour >= 4 or local.hour < NIGHT_ENDS:
                return chosen, at
    return moment, resolve(moment, now, zone).at
