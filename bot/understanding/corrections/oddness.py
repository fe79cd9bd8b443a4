"""How odd a change is, from what it makes of the entry: old values that were never noted, long moves."""

import re
from datetime import datetime, timedelta

from bot.model.entries import Activity, Correction, Item, Meal, Reading, Sleep, Stored
from bot.understanding.context import Context
from bot.understanding.corrections.retiming import as_moment
from bot.understanding.corrections.shapes import Frame
from bot.understanding.pieces.instants import clocks_of
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.pieces import Amount, Moment
from bot.understanding.states.readings import LEAST_PEAK

KNOWN, UNKNOWN = -0.8, 1.5
"""An old value that was said to be wrong and was noted so, or was not."""
PER_HOUR_MOVED, MOST_MOVED = 0.12, 1.5
OPEN = -0.6
"""For an amount where none had been said."""
MANY_TIMES, MANY = 3.5, 1.2
"""A new amount so many times the old one, or so small a part of it."""
NOTHING = 2.0
"""For an amount that stands so already, where nothing says that a change is meant."""
_CORRECTS = re.compile(r"\W*(?:no|nope|not|sorry|actually|wait|make|change|it was)\b", re.IGNORECASE)
REFINES = -1.8
AT_ONCE, SOON = timedelta(minutes=10), timedelta(minutes=45)
_TELLS_CHANGE = re.compile(
    r"\b(?:was|were|wasn't|is|actually|no|nope|not|only|just|make|change|sorry|oops|rather)\b", re.IGNORECASE
)
NEAR_H = 2.0
_NEAR = timedelta(minutes=20)


def oddness(frame: Frame, before: Stored, correction: Correction, context: Context) -> float:
    """Return what it costs to believe a change of an entry."""
    cost = _old_value(frame, before, correction, context)
    after = correction.after
    if after == before and correction.what == "amount" and not _CORRECTS.match(correction.said):
        cost += NOTHING  # a second apple is rather one more
    if correction.what == "time" and after is not None and not isinstance(before, Sleep):
        moved = _hours(before, after)
        if any(isinstance(e.piece, Moment) and e.piece.has_day for e in frame.all("to")):
            moved = min(moved % 24, 24 - moved % 24)  # a day that was named is not odd for being another one
        cost += min(PER_HOUR_MOVED * moved, MOST_MOVED)
        if frame.first("hour") is not None:  # a bare number, close to the hour that was noted or not
            cost += KNOWN if moved < NEAR_H else UNKNOWN
    if isinstance(before, Meal) and isinstance(after, Meal) and correction.what == "amount":
        cost += _jump(before, after)
        cost += OPEN * _fills_open(frame, before, after)
        cost += 2 * OPEN * _says_size(frame, context)
        cost += REFINES * _refines(frame, before, after, context)
    tells = frame.first("what") is None or _TELLS_CHANGE.search(correction.said) is not None
    if isinstance(before, Activity) and frame.op == "amount" and tells and not _may_be_glucose(correction):
        cost += 3 * OPEN  # minutes are of nothing else
    return cost


def _may_be_glucose(correction: Correction) -> bool:
    """Tell whether a bare number is rather a value in mg/dL than minutes: "pre climb 101"."""
    numbers = re.findall(r"\d+", correction.said)
    return all(float(number) > LEAST_PEAK for number in numbers) and " min" not in correction.said


def _old_value(frame: Frame, before: Stored, correction: Correction, context: Context) -> float:
    old = frame.first("old")
    if old is None:
        return 0.0
    if frame.op == "move" and isinstance(old.piece, Amount):  # "not six, seven thirty"
        hour = as_moment(old)
        return UNKNOWN if hour is None or not _at_clock(before, hour, context) else KNOWN
    if isinstance(old.piece, Moment):
        return KNOWN if _at_clock(before, old.piece, context) else UNKNOWN
    if not isinstance(old.piece, Amount):
        return 0.0
    value = old.piece.minutes or old.piece.value
    if isinstance(before, Activity):
        return KNOWN if before.minutes == value else UNKNOWN
    if isinstance(before, Reading):
        return KNOWN if abs(before.mmol - value) < 0.06 or abs(before.mmol * 18 - value) < 3 else UNKNOWN
    if isinstance(before, Meal):
        return KNOWN if any(value in numbers_said(item) for item in before.items) else UNKNOWN
    return 0.0


def numbers_said(item: Item) -> set[float]:
    """Return the numbers that a food was said with."""
    found = {float(n.replace(",", ".")) for n in re.findall(r"\d+(?:[.,]\d+)?", item.said)}
    return found | {NUMBER_WORDS[w] for w in item.said.lower().split() if w in NUMBER_WORDS}


def _at_clock(entry: Stored, moment: Moment, context: Context) -> bool:
    times = (entry.from_at, entry.to_at) if isinstance(entry, Sleep) else (entry.at,)
    if moment.hour is None:
        return True
    minutes = [c.hour * 60 + c.minute for c in clocks_of(moment)]
    return any(_off(at, minute, context) <= _NEAR for at in times if at is not None for minute in minutes)


def _off(at: datetime, minute: int, context: Context) -> timedelta:
    local = at.astimezone(context.zone)
    return timedelta(minutes=abs(local.hour * 60 + local.minute - minute))


def _hours(before: Stored, after: Stored) -> float:
    was, now = getattr(before, "at", None), getattr(after, "at", None)
    return abs((now - was) / timedelta(hours=1)) if was is not None and now is not None else 0.0


def _says_size(frame: Frame, context: Context) -> bool:
    """Tell whether a size is all that is said, soon after the note: "medium"."""
    much = frame.first("much")
    soon = bool(context.noted) and context.now - context.noted[-1].touched_at <= SOON
    sized = much is not None and isinstance(much.piece, Amount) and bool(much.piece.size)
    return soon and frame.whole and sized


def _refines(frame: Frame, before: Meal, after: Meal, context: Context) -> bool:
    """Tell whether the only food is said again at once, more exactly: "soup", then "tomato soup"."""
    at_once = bool(context.noted) and context.now - context.noted[-1].touched_at <= AT_ONCE
    alone = len(before.items) == len(after.items) == 1
    if not (at_once and alone) or frame.op != "swap" or frame.first("gone") is not None:
        return False
    said = {word for e in frame.all("new", "other") for word in e.said.lower().split()}
    return set(before.items[0].name.lower().split()) < said


def _fills_open(frame: Frame, before: Meal, after: Meal) -> bool:
    """Tell whether an amount is given where none had been said."""
    changed = [b for b, a in zip(before.items, after.items, strict=False) if a.grams != b.grams]
    return frame.op == "amount" and bool(changed) and all(not item.stated for item in changed)


def _jump(before: Meal, after: Meal) -> float:
    old = {item.name: item.grams for item in before.items}
    for item in after.items:
        was = old.get(item.name, 0.0)
        if was and item.grams and not 1 / MANY_TIMES < item.grams / was < MANY_TIMES:
            return MANY
    return 0.0
