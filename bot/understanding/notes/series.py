"""When the readings of a note were taken: by their own times, by the meal before them, by one another."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, timedelta

from bot.language.times import write_clock
from bot.model.entries import Meal, Slot
from bot.understanding.context import Context
from bot.understanding.foods.meals import MealDraft
from bot.understanding.notes.unclaimed import Part
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.instants import Resolved, is_ahead, resolve
from bot.understanding.pieces.pieces import Moment
from bot.understanding.pieces.slots import SLOT_WORDS


@dataclass(frozen=True, slots=True)
class Series:
    """What a note says as a whole, above all of its readings.

    leaning: which parts are meals told by a movement after them ("an hour before the walk"), and how
    has_meals, has_offsets: it holds a meal, or readings so long after one; anchor: the time of the meal that
    these name ("2h after the 8am porridge"); before: of the one that a reading was taken before
    last_min: minutes after the meal of the last of several readings
    """

    has_meals: bool
    has_offsets: bool
    anchor: Moment | None
    before: Moment | None
    last_min: float | None
    leaning: tuple[tuple[int, Moment], ...]


def read_series(parts: Sequence[Part]) -> Series:
    """Return what a note's parts say as a whole."""
    moments = [p.moment for p in parts if isinstance(p, Draft) and p.moment]
    return Series(
        any(isinstance(p, MealDraft) for p in parts),
        any(m.after_min is not None for m in moments),
        next((m.anchor for m in moments if m.anchor is not None), None),
        next((m for m in moments if m.side == "before" and m.hour is not None), None),
        _last_of_several(parts),
        tuple(
            (n, moment)
            for n, part in enumerate(parts)
            if isinstance(part, MealDraft) and (moment := part.moment) is not None
            if moment.side == "before" and moment.side_what and moment.after_min
        ),
    )


def _last_of_several(parts: Sequence[Part]) -> float | None:
    """Return how many minutes after the meal the last of several readings was, None for no series."""
    readings = [p.moment for p in parts if isinstance(p, Draft) and p.kind == "reading"]
    offsets = [m.after_min for m in readings if m is not None and m.after_min is not None]
    return max(offsets) if offsets and len(readings) > 1 else None


def time_of_reading(draft: Draft, context: Context, base: Meal | None, series: Series) -> Resolved:
    """Return when one reading was taken, by its own time or by the meal `base` of its note."""
    moment = draft.moment
    meal = base
    if meal is None and isinstance(context.newest, Meal):
        meal = context.newest
    anchor = series.anchor or (series.before if meal is None else None)
    if moment is not None and moment.after_min is not None:
        minutes = moment.after_min
        start = meal.at if meal is not None and moment.side_slot in ("", meal.slot) else None
        if anchor is not None:
            start = resolve(anchor, context.now, context.zone, _as_slot(moment.side_slot)).at
        if start is None and series.last_min is not None:  # of a series without its meal the last is now
            start = context.now - timedelta(minutes=series.last_min)
        if start is None and moment.side == "after" and minutes > 0:
            return Resolved(context.now, "now")  # "7.3 45 min after my toast", sent when it was read
        if start is None:  # "2h after lunch", but lunch was not the last meal
            return Resolved(
                None, "stated", f"{abs(minutes):g} min after which meal? Note it first, like “soup at 12:30”."
            )
        at = start.astimezone(UTC) + timedelta(minutes=minutes)
        if is_ahead(at, context.now):
            local = at.astimezone(context.zone)
            return Resolved(
                None,
                "stated",
                f"{write_clock(local)} is still to come: when was that reading? Say it like “5.4 at 9:10”.",
            )
        return Resolved(at, "stated")
    if moment is not None and (moment.has_clock or moment.has_day or moment.part):
        return resolve(moment, context.now, context.zone)
    beside = moment is not None and moment.side == "before" and base is not None
    if (beside or series.has_offsets) and meal is not None and meal.at is not None:
        return Resolved(meal.at, "stated")
    slot = _as_slot(moment.side_slot) if moment is not None and moment.side == "before" else None
    return resolve(None, context.now, context.zone, slot)  # "5.1 before breakfast", said in the evening


def before_later(n: int, parts: Sequence[Part], context: Context) -> Resolved | None:
    """Time the first of "5.4, 2h later 6.1" or "5.2, then 7.9 after 45 min": the last of them is now.

    None for any other reading, and where there is a meal to count from.
    """
    moment = getattr(parts[n], "moment", None)
    if moment is not None and (moment.has_clock or moment.has_day or moment.after_min is not None):
        return None
    later = 0.0
    for part in parts[n + 1 :]:
        if not isinstance(part, Draft) or part.kind != "reading" or part.moment is None:
            break
        if is_later(part):
            later += part.moment.after_min or 0.0
        elif part.moment.after_min is not None and not isinstance(context.newest, Meal):
            later = max(later, part.moment.after_min)
        else:
            break
    return Resolved(context.now - timedelta(minutes=later), "stated") if later else None


def _as_slot(name: str) -> Slot | None:
    return SLOT_WORDS.get(name)


def is_later(draft: Draft) -> bool:
    """Tell whether its time counts from what was said before it ("2h later")."""
    return draft.moment is not None and draft.moment.side == "later"
