"""Drafts -> entries: each gets its instant, its words, and a question where the time cannot be told."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from bot.entries import (
    Activity,
    Entry,
    Extra,
    Feeling,
    Item,
    Meal,
    Nothing,
    Reading,
    Sensor,
    Sleep,
    Slot,
    Sync,
)
from bot.understanding.context import Context
from bot.understanding.dishes import drop_titles, is_drink, is_nibble
from bot.understanding.drafts import Draft
from bot.understanding.foods import Said, make_extra, make_item
from bot.understanding.instants import Resolved, is_ahead, resolve
from bot.understanding.meals import MealDraft
from bot.understanding.nights import resolve_sleep
from bot.understanding.pieces import Moment, Piece
from bot.understanding.slots import slot_of_hour
from bot.understanding.weighing import amount_problem

if TYPE_CHECKING:
    from bot.understanding.notes import Part

AFTER_MEAL = timedelta(minutes=15)
"""How long after the first bite movement "after" a meal begins, when no time is said; no source."""


def finish(parts: "Sequence[Part]", text: str, context: Context) -> tuple[list[Entry], list[str]]:
    """Return the entries of a note's parts in the order said, and the questions they raise."""
    asks: list[str] = []
    meals: list[Meal] = []
    entries: list[Entry | None] = [None] * len(parts)
    # Meals first: movement and readings are timed by them, wherever they stand in the note.
    for n, part in enumerate(parts):
        if isinstance(part, MealDraft):
            ended = _last_offset(parts) if isinstance(part, MealDraft) and part.moment is None else None
            meal = _make_meal(part, text, context, asks, ended)
            entries[n] = meal
            meals += [] if meal is None else [meal]
    in_series = any(isinstance(p, Draft) and p.moment and p.moment.after_min is not None for p in parts)
    for n, part in enumerate(parts):
        if isinstance(part, Draft):
            before = [e for e in entries[:n] if isinstance(e, Meal)]
            base = before[-1] if before else next(iter(meals), None)
            entries[n] = _make_other(part, text, context, base, in_series, asks)
        elif not isinstance(part, MealDraft):
            said = _words(text, part.clause.pieces)
            entries[n] = Nothing(said) if said else None
    return [e for e in entries if e is not None], asks


def _words(text: str, pieces: Iterable[Piece]) -> str:
    pieces = list(pieces)
    return " ".join(text[min(p.start for p in pieces) : max(p.end for p in pieces)].split())


def _ask(asks: list[str], ask: str) -> None:
    if ask and ask not in asks:
        asks.append(ask)


def _last_offset(parts: "Sequence[Part]") -> timedelta | None:
    """Return how long after the meal the last reading of its series was ("6.0 at 2h"), None without one."""
    offsets = [p.moment.after_min for p in parts if isinstance(p, Draft) and p.kind == "reading" and p.moment]
    known = [minutes for minutes in offsets if minutes is not None]
    return timedelta(minutes=max(known)) if known else None


def _make_meal(
    draft: MealDraft, text: str, context: Context, asks: list[str], ended: timedelta | None
) -> Meal | None:
    items: list[Item] = []
    extras: list[Extra] = []
    foods = drop_titles(draft.foods, context.table)
    for food in foods:
        item = make_item(food, text, context.table)
        problem = amount_problem(food.amount, item.grams)
        if problem:
            _ask(asks, f"{problem} (“{item.said}”): how much was it? Say it like “150 g {food.name}”.")
        elif food.is_extra:
            extras.append(make_extra(food, context.table))
        else:
            items.append(item)
    if not items and not extras:
        return None
    resolved = resolve(draft.moment, context.now, context.zone, draft.slot)
    if ended is not None and resolved.timed == "now":
        # A series of readings that is already complete tells how long ago the meal was.
        resolved = Resolved(context.now - ended, "slot")
    _ask(asks, resolved.ask)
    slot = draft.slot or _slot_of(foods, items, (resolved.at or context.now).astimezone(context.zone))
    said = _meal_words(draft, text)
    return Meal(resolved.at, slot, tuple(items), tuple(extras), draft.in_order, resolved.timed, said)


def _slot_of(foods: list[Said], items: list[Item], at: datetime) -> Slot:
    if not items or is_drink(foods):
        return "drink"
    return slot_of_hour(at.hour, only_nibbles=is_nibble(foods))


def _meal_words(draft: MealDraft, text: str) -> str:
    """Return the words of a meal; what was said between its clauses is left out."""
    spans = [
        (min(p.start for p in c.clause.pieces), max(p.end for p in c.clause.pieces)) for c in draft.parts
    ]
    for mark in draft.marks:
        spans.append((mark.start, mark.end))
    spans.sort()
    joined: list[tuple[int, int]] = []
    for start, end in spans:
        gap = text[joined[-1][1] : start] if joined else ""
        if joined and (start <= joined[-1][1] or sum(c.isalnum() for c in gap) <= 8):
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return " … ".join(_close_bracket(text, start, end) for start, end in joined)


def _close_bracket(text: str, start: int, end: int) -> str:
    said = " ".join(text[start:end].split())
    return f"{said})" if said.count("(") > said.count(")") and text[end : end + 1] == ")" else said


def _make_other(
    draft: Draft, text: str, context: Context, base: Meal | None, in_series: bool, asks: list[str]
) -> Entry | None:
    said = _words(text, draft.clause.pieces)
    _ask(asks, draft.ask)
    if draft.ask:
        return None
    match draft.kind:
        case "activity":
            return _make_activity(draft, said, context, base, asks)
        case "reading":
            found = _time_of_reading(draft, context, base, in_series)
            _ask(asks, found.ask)
            return Reading(draft.mmol, found.at, timed=found.timed, said=said)
        case "sleep":
            from_at, to_at, ask = resolve_sleep(draft, context.now, context.zone)
            _ask(asks, ask)
            return None if from_at is None and to_at is None else Sleep(from_at, to_at, said)
    found = resolve(draft.moment, context.now, context.zone)
    _ask(asks, found.ask)
    if draft.kind == "sync":
        return Sync(found.at, said)
    if draft.kind == "sensor":
        return Sensor("started" if draft.what == "started" else "ended", found.at, said)
    return Feeling(draft.what, found.at, said)


def _make_activity(draft: Draft, said: str, context: Context, base: Meal | None, asks: list[str]) -> Activity:
    moment, minutes = draft.moment, draft.minutes
    lasted = timedelta(minutes=minutes or 0)
    if moment is not None and (moment.has_clock or moment.has_day or moment.part):
        found = resolve(moment, context.now, context.zone)
        if moment.until is not None and found.at is not None:
            end = resolve(moment.until, context.now, context.zone).at
            if end is not None and end > found.at and minutes is None:
                minutes = (end - found.at).total_seconds() / 60
    elif base is not None and base.at is not None and not (moment is None and base.timed == "now"):
        found = _beside_meal(moment, base.at, lasted, context)
    else:
        found = Resolved(context.now - lasted, "now" if base is None else "slot")
    _ask(asks, found.ask)
    return Activity(draft.what, minutes, found.at, draft.effort, found.timed, said)


def _beside_meal(moment: Moment | None, meal_at: datetime, lasted: timedelta, context: Context) -> Resolved:
    """Time movement by the meal it belongs to: before it, so many minutes after it, or soon after it."""
    if moment is not None and moment.side == "before":
        return Resolved(meal_at - lasted, "slot")
    after = AFTER_MEAL
    if moment is not None and moment.after_min is not None:
        after = timedelta(minutes=moment.after_min)
    at = meal_at + after
    if at + lasted > context.now:
        return Resolved(context.now - lasted, "slot")
    return Resolved(at, "slot")


def _time_of_reading(draft: Draft, context: Context, base: Meal | None, in_series: bool) -> Resolved:
    moment = draft.moment
    meal = base
    if meal is None and isinstance(context.last, Meal):
        meal = context.last
    if moment is not None and moment.after_min is not None:
        minutes = moment.after_min
        if meal is not None and moment.side_slot not in ("", meal.slot):
            meal = None  # "2h after lunch", but lunch was not the last meal
        if meal is None or meal.at is None:
            return Resolved(
                None, "stated", f"{abs(minutes):g} min after which meal? Note it first, like “soup at 12:30”."
            )
        at = meal.at.astimezone(UTC) + timedelta(minutes=minutes)
        if is_ahead(at, context.now):
            local = at.astimezone(context.zone)
            return Resolved(None, "stated", f"{local:%H:%M} is still to come: when was that reading?")
        return Resolved(at, "stated")
    if moment is not None and (moment.has_clock or moment.has_day or moment.part):
        return resolve(moment, context.now, context.zone)
    beside = moment is not None and moment.side == "before" and base is not None
    if (beside or in_series) and meal is not None and meal.at is not None:
        return Resolved(meal.at, "stated")
    return Resolved(context.now, "now")
