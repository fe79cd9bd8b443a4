"""Drafts -> entries: each gets its instant, its words, and a question where the time cannot be told."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from bot.model.entries import (
    Activity,
    Entry,
    Extra,
    Feeling,
    Item,
    Meal,
    Reading,
    Sensor,
    Sleep,
    Slot,
    Sync,
)
from bot.understanding.context import Context
from bot.understanding.foods.categories import is_cereal, is_drink, is_nibble, is_of
from bot.understanding.foods.dishes import settle_foods
from bot.understanding.foods.foods import make_extra, make_item
from bot.understanding.foods.meals import MealDraft
from bot.understanding.foods.own_table import leave_out
from bot.understanding.foods.said import Said
from bot.understanding.foods.weighing import amount_problem
from bot.understanding.notes.series import Series, before_later, is_later, read_series, time_of_reading
from bot.understanding.notes.told_beside import (
    after_told,
    beside_movement,
    beside_other,
    meal_beside,
    on_waking,
)
from bot.understanding.notes.unclaimed import Part
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.instants import Resolved, day_of, is_ahead, resolve
from bot.understanding.pieces.pieces import Moment, Piece
from bot.understanding.pieces.slots import SLOT_WORDS, USUAL_TIME, slot_of_hour
from bot.understanding.states.nights import bed_before, resolve_sleep
from bot.understanding.states.readings import mmol_of

HALF_DAY_MIN = 12 * 60
LONGEST_SPAN = timedelta(hours=12)
LONGEST_IN_BED = timedelta(hours=2)
"""So long after a sleep ended somebody may still be getting up; no source."""
AFTER_MEAL = timedelta(minutes=15)
"""How long after the first bite movement "after" a meal begins, when no time is said; no source."""


def finish(parts: Sequence[Part], text: str, context: Context) -> tuple[list[Entry], list[str]]:
    """Return the entries of a note's parts in the order said, and the questions they raise."""
    asks: list[str] = []
    entries: list[Entry | None] = [None] * len(parts)
    # Movement with a clock time first: meals may lean on it. Then meals: all else is timed by them, wherever
    # they stand in the note.
    series = read_series(parts)
    for n, part in enumerate(parts):
        if isinstance(part, Draft) and part.kind == "activity" and _stands_alone(part):
            entries[n] = _make_other(n, parts, text, context, entries, series, asks)
    for n, part in enumerate(parts):
        if isinstance(part, MealDraft):
            entries[n] = _make_meal(n, parts, text, context, entries, asks)
    for n, part in enumerate(parts):
        if isinstance(part, Draft) and entries[n] is None:
            entries[n] = _make_other(n, parts, text, context, entries, series, asks)
    felt = {(e.what, e.at): n for n, e in reversed(list(enumerate(entries))) if isinstance(e, Feeling)}
    once = [e for n, e in enumerate(entries) if not isinstance(e, Feeling) or felt[e.what, e.at] == n]
    nights = [e for e in once if isinstance(e, Sleep) and e.from_at is not None and e.to_at is not None]
    return [e for e in once if e is not None and not any(_is_waking_of(e, night) for night in nights)], asks


def _is_waking_of(entry: Entry, night: Sleep) -> bool:
    """Tell whether a waking is told within or at the end of a sleep: "just got up, slept 11 to 7"."""
    if not isinstance(entry, Sleep) or entry.from_at is not None or entry.to_at is None:
        return False
    if night.from_at is None or night.to_at is None:
        return False
    return night.from_at < entry.to_at <= night.to_at + LONGEST_IN_BED


def _stands_alone(draft: Draft) -> bool:
    told = draft.moment is not None and bool(draft.moment.has_clock or draft.moment.part)
    return told and not draft.ask


def _words(text: str, pieces: Iterable[Piece]) -> str:
    pieces = list(pieces)
    return " ".join(text[min(p.start for p in pieces) : max(p.end for p in pieces)].split())


def _ask(asks: list[str], ask: str) -> None:
    if ask and ask not in asks:
        asks.append(ask)


def _last_offset(parts: Sequence[Part]) -> timedelta | None:
    """Return how long after the meal the last reading of its series was ("6.0 at 2h"), None without one."""
    offsets = [p.moment.after_min for p in parts if isinstance(p, Draft) and p.kind == "reading" and p.moment]
    known = [minutes for minutes in offsets if minutes is not None]
    return timedelta(minutes=max(known)) if known else None


def _make_meal(
    n: int,
    parts: Sequence[Part],
    text: str,
    context: Context,
    entries: Sequence[Entry | None],
    asks: list[str],
) -> Meal | None:
    draft = parts[n]
    assert isinstance(draft, MealDraft)
    items: list[Item] = []
    extras: list[Extra] = []
    american = context.zone.key.startswith("America/")
    foods = settle_foods(draft.foods, draft.left_out, context.table, american=american)
    for food in foods:
        item = make_item(food, text, context.table)
        held = item.nutrients and item.nutrients.energy_kcal
        problem = amount_problem(food.amount, item.grams, held or 0.0)
        if problem:
            _ask(asks, f"{problem} (“{item.said}”): how much was it? Say it like “150 g {food.name}”.")
        elif food.is_extra:
            extras.append(make_extra(food, context.table))
        else:
            items += leave_out(item, draft.left_out, context.table)
    if not items and not extras:
        return None
    moment = draft.moment
    resolved = beside_other(moment, n, entries, context) or after_told(n, parts, entries, context)
    if resolved is None and moment is not None and moment.has_day:
        resolved = _by_usual_meal(moment, timedelta(0), context)
    eaten_early = moment is not None and moment.loose and is_cereal(foods)
    usual: Slot | None = draft.slot or ("breakfast" if eaten_early else _evening_of(moment, foods))
    resolved = resolved or resolve(moment, context.now, context.zone, usual)
    if resolved.at is None and usual != draft.slot:  # pizza "at 8:15", said in the morning
        resolved = resolve(moment, context.now, context.zone)
    ended = _last_offset(parts) if moment is None else None
    if ended is not None and resolved.timed == "now":
        # A series of readings that is already complete tells how long ago the meal was.
        resolved = Resolved(context.now - ended, "slot")
    _ask(asks, resolved.ask)
    slot = draft.slot or _slot_of(foods, items, (resolved.at or context.now).astimezone(context.zone))
    said = _meal_words(draft, text)
    return Meal(resolved.at, slot, tuple(items), tuple(extras), draft.in_order, resolved.timed, said)


def _evening_of(moment: Moment | None, foods: Sequence[Said]) -> Slot | None:
    """Tell that pizza "at 6:30" was dinner, where nothing says which half of the day it was."""
    if moment is None or moment.hour is None or not 5 <= moment.hour <= 9:
        return None
    told = moment.padded or moment.half or moment.part or moment.until is not None or moment.side
    return None if told or not any(is_of("hearty", food.match) for food in foods) else "dinner"


def _slot_of(foods: list[Said], items: list[Item], at: datetime) -> Slot:
    if not items or is_drink(foods):
        return "drink"
    return slot_of_hour(at.hour, only_nibbles=is_nibble([food.match for food in foods]))


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
    n: int,
    parts: Sequence[Part],
    text: str,
    context: Context,
    entries: Sequence[Entry | None],
    series: Series,
    asks: list[str],
) -> Entry | None:
    draft = parts[n]
    assert isinstance(draft, Draft)
    said = _words(text, draft.clause.pieces)
    _ask(asks, draft.ask)
    if draft.ask:
        return None
    base = meal_beside(n, entries) if series.has_meals else None
    match draft.kind:
        case "activity":
            found = beside_other(draft.moment, n, entries, context)
            if found is not None and found.at is not None and _ends_before(draft):
                found = replace(found, at=found.at - timedelta(minutes=draft.minutes or 0.0))
            if found is None and series.has_meals:
                found = _by_meal_before(draft, series, entries)
            after = after_told(n, parts, entries, context) if "then" in draft.clause.leads else None
            return _make_activity(draft, said, context, base, found, asks, after)
        case "reading":
            found = beside_other(draft.moment, n, entries, context) if is_later(draft) else None
            found = found or (None if series.has_meals else before_later(n, parts, context))
            found = found or on_waking(draft, parts[n - 1] if n else None, entries[n - 1])
            found = found or beside_movement(draft, entries[:n], context)
            found = found or time_of_reading(draft, context, base, series)
            _ask(asks, found.ask)
            value = mmol_of(draft, context.unit)
            return Reading(value, found.at, timed=found.timed, said=said, of_blood=draft.of_blood)
        case "sleep":
            from_at, to_at, ask = resolve_sleep(draft, context.now, context.zone)
            bed_at = bed_before(context.log, context.now)
            if bed_at is not None and to_at == context.now and draft.what == "slept":
                from_at, to_at = bed_at, min(bed_at + timedelta(minutes=draft.minutes or 0), context.now)
            _ask(asks, ask)
            return None if from_at is None and to_at is None else Sleep(from_at, to_at, said)
    moment = draft.moment
    if draft.kind == "feeling" and moment is not None and not moment.has_clock and not moment.part:
        moment = _at_noon(moment, context)
    found = resolve(moment, context.now, context.zone)
    _ask(asks, found.ask)
    if draft.kind == "sync":
        return Sync(found.at, said)
    if draft.kind == "sensor":
        return Sensor("started" if draft.what == "started" else "ended", found.at, said)
    return Feeling(draft.what, found.at, said)


def _ends_before(draft: Draft) -> bool:
    """Tell whether movement was over when what it leans on began ("a stroll before lunch")."""
    moment = draft.moment
    return moment is not None and moment.side == "before" and moment.after_min is None


def _at_noon(moment: Moment, context: Context) -> Moment | None:
    """Place a feeling of a whole day: at its noon, today's now."""
    today = context.local_now.date()
    day = day_of(moment, today)
    return None if day is None or day >= today else Moment(moment.start, moment.end, hour=12, on=day)


def _by_meal_before(draft: Draft, series: Series, entries: Sequence[Entry | None]) -> Resolved | None:
    """Time movement by a meal that was so long before it ("pizza at 12:30, an hour before the walk")."""
    if draft.moment is not None:
        return None
    for n, moment in series.leaning:
        entry = entries[n]
        if isinstance(entry, Meal) and entry.at is not None and moment.side_what == draft.what:
            return Resolved(entry.at.astimezone(UTC) - timedelta(minutes=moment.after_min or 0.0), "stated")
    return None


def _make_activity(
    draft: Draft,
    said: str,
    context: Context,
    base: Meal | None,
    beside: Resolved | None,
    asks: list[str],
    after: Resolved | None = None,
) -> Activity:
    moment, minutes = draft.moment, draft.minutes
    if moment is not None and moment.ago_min == 0 and minutes:
        moment = None  # "run now finished, 32 minutes"
    lasted = timedelta(minutes=minutes or 0)
    if beside is not None:
        found = beside
    elif draft.ended is not None:
        loose = not (draft.ended.half or draft.ended.padded or draft.ended.part)
        ended = replace(draft.ended, loose=loose and 1 <= (draft.ended.hour or 0) <= 12)
        found = resolve(ended, context.now, context.zone)  # the latest that it may have been
        found = replace(found, at=found.at - lasted if found.at is not None else None)
    elif (usual := _by_usual_meal(moment, lasted, context)) is not None:
        found = usual
    elif moment is not None and (moment.has_clock or moment.has_day or moment.part):
        found = _start_of_span(moment, context) or resolve(moment, context.now, context.zone)
        if moment.until is not None and found.at is not None:
            end = resolve(_on_day_of(moment), context.now, context.zone).at
            if end is not None and minutes is None:
                apart = (end - found.at).total_seconds() / 60
                # "5 to 6:30": the other half of the day where the end would come first.
                minutes = apart if apart > 0 else apart + HALF_DAY_MIN if apart + HALF_DAY_MIN > 0 else None
        if not moment.has_clock and found.at is not None and is_ahead(found.at + lasted, context.now):
            found = replace(found, at=context.now - lasted)  # "fencing 3 hours this afternoon"
    elif after is not None:
        found = after
    elif base is not None and base.at is not None and _follows(draft, base):
        found = _beside_meal(moment, base.at, lasted, context)
    else:
        found = Resolved(context.now - lasted, "now" if base is None else "slot")
    _ask(asks, found.ask)
    lasting = draft.what != "exercises" and "since" in said.lower().split()
    if minutes is None and found.at is not None and lasting:
        minutes = (context.now - found.at).total_seconds() / 60  # "gardening since 3"
    return Activity(draft.what, minutes, found.at, draft.effort, found.timed, said)


def _on_day_of(moment: Moment) -> Moment:
    """Return the end of a span, on the day that was said with its beginning ("9 till 11.30 sunday")."""
    end = moment.until
    assert end is not None
    if end.has_day or not moment.has_day:
        return end
    return replace(end, days=moment.days, weekday=moment.weekday, back=moment.back, on=moment.on)


def _start_of_span(moment: Moment, context: Context) -> Resolved | None:
    """Time the beginning of a bare span by its end ("7 till 5"): the latest that is over."""
    end = moment.until
    if (
        end is None
        or moment.has_day
        or not moment.loose
        or end.padded
        or moment.part
        or end.half
        or moment.half
    ):
        return None
    spans = [
        (first, last)
        for half in ("am", "pm")
        for to_half in ("am", "pm")
        if (first := resolve(replace(moment, half=half, until=None), context.now, context.zone).at)
        if (last := resolve(replace(end, half=to_half), context.now, context.zone).at)
        if first < last and last - first <= LONGEST_SPAN
    ]
    return Resolved(max(spans)[0], "stated") if spans else None


def _by_usual_meal(moment: Moment | None, lasted: timedelta, context: Context) -> Resolved | None:
    """Time "after lunch yesterday" by that lunch if it was the last meal, else by when lunch usually is."""
    slot = SLOT_WORDS.get(moment.side_slot) if moment is not None else None
    if moment is None or moment.has_clock or moment.part or slot not in USUAL_TIME:
        return None
    day = replace(moment, side="", side_slot="", after_min=None)
    meal, last = resolve(day, context.now, context.zone, slot), context.newest
    if meal.at is None or meal.timed == "now":
        return None
    apart = timedelta(days=1)
    if isinstance(last, Meal) and last.slot == slot and last.at is not None:
        apart = abs(last.at - meal.at)
    noted = last.at if isinstance(last, Meal) and apart < LONGEST_SPAN else None
    return _beside_meal(moment, noted or meal.at, lasted, context)


def _beside_meal(moment: Moment | None, meal_at: datetime, lasted: timedelta, context: Context) -> Resolved:
    """Time movement by the meal it belongs to: before it, so many minutes after it, or soon after it."""
    if moment is not None and moment.side == "before":
        return Resolved(meal_at - lasted, "slot")
    after = AFTER_MEAL
    if moment is not None and moment.after_min is not None:
        after = timedelta(minutes=moment.after_min)
    at = meal_at + after
    if at + lasted > context.now:
        # It began after the meal all the same, though less than a quarter of an hour after.
        return Resolved(max(meal_at, context.now - lasted), "slot")
    return Resolved(at, "slot")


def _follows(draft: Draft, base: Meal) -> bool:
    """Tell whether movement is timed by a meal: its time was told, or the movement was "after" or "then"."""
    return base.timed != "now" or draft.moment is not None or "then" in draft.clause.leads
