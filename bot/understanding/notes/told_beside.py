"""What is told beside something else is timed by it: food after a walk, a value before a run, on waking."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from bot.model.entries import Activity, Entry, Meal, Reading, Sleep, Sync
from bot.understanding.context import Context
from bot.understanding.foods.meals import MealDraft
from bot.understanding.notes.unclaimed import Part
from bot.understanding.pieces.drafts import Draft
from bot.understanding.pieces.instants import Resolved, is_ahead, resolve
from bot.understanding.pieces.pieces import Moment
from bot.understanding.states.nights import resolve_sleep

_SHARE_OVER = {"during": 0.5, "after": 1.0}
"""How much of a movement was over: what was had on the way is put in its middle."""


def beside_other(
    moment: Moment | None, n: int, entries: Sequence[Entry | None], context: Context
) -> Resolved | None:
    """Time part `n` by the entry it leans on ("an hour before the walk"), None when there is none."""
    if moment is None or moment.has_clock or not moment.side:
        return None
    base = _leans_on(moment, n, entries)
    if base is None:
        return None
    lasted = _SHARE_OVER.get(moment.side, 0.0) * (base.minutes or 0.0 if isinstance(base, Activity) else 0.0)
    at = _at_of(base)
    if at is None:
        return None
    at = at.astimezone(UTC) + timedelta(minutes=lasted + (moment.after_min or 0.0))
    return (
        None if is_ahead(at, context.now) else Resolved(at, "slot" if moment.after_min is None else "stated")
    )


def after_told(
    n: int, parts: Sequence[Part], entries: Sequence[Entry | None], context: Context
) -> Resolved | None:
    """Time a meal by the end of what was told just before it: "cricket 4 to 5:30, then juice"."""
    draft, told = parts[n], parts[n - 1] if n else None
    assert isinstance(draft, Draft | MealDraft)
    if draft.marks if isinstance(draft, MealDraft) else draft.moment:
        return None
    lead = draft.parts[0].clause if isinstance(draft, MealDraft) else draft.clause
    if lead.strong and "then" not in lead.leads:
        return None
    if not isinstance(told, Draft) or told.moment is None or not told.moment.has_clock or told.ask:
        return None
    entry = entries[n - 1]
    if isinstance(entry, Activity) and entry.at is not None:
        at: datetime | None = entry.at.astimezone(UTC) + timedelta(minutes=entry.minutes or 0.0)
    elif told.kind == "sleep":
        at = resolve_sleep(told, context.now, context.zone)[1]
    else:
        at = resolve(told.moment, context.now, context.zone).at if told.kind == "feeling" else None
    return None if at is None or is_ahead(at, context.now) else Resolved(min(at, context.now), "slot")


def beside_movement(draft: Draft, before: Sequence[Entry | None], context: Context) -> Resolved | None:
    """Time a reading "before" or "after" by the movement told just before it ("ran 30 min: 5.5 before")."""
    moment = draft.moment
    if moment is not None and moment in draft.clause.pieces and not moment.side_what:
        return None  # "6.0 before eating"
    told = [e for e in before if e is not None and not isinstance(e, Reading)]
    last = told[-1] if told else context.newest
    side = moment.side if moment is not None else _side_of(draft)
    if not isinstance(last, Activity) or last.at is None or side not in ("before", "after"):
        return None
    if moment is not None and (moment.has_clock or moment.side_slot or moment.after_min is not None):
        return None
    at = last.at.astimezone(UTC) + timedelta(minutes=(last.minutes or 0.0) if side == "after" else 0.0)
    return None if is_ahead(at, context.now) else Resolved(at, "slot")


def on_waking(draft: Draft, before: Part | None, entry: Entry | None) -> Resolved | None:
    """Time a reading told right after waking ("woke at 6, 5.2"), or after a scan ("scanned at 8, 5.5")."""
    if draft.moment is not None or not isinstance(before, Draft):
        return None
    if isinstance(entry, Sync) and before.moment is not None:
        return Resolved(entry.at, "slot")
    if not isinstance(entry, Sleep):
        return None
    return None if entry.to_at is None else Resolved(entry.to_at, "slot")


def _side_of(draft: Draft) -> str:
    return "after" if {"after", "post", "afterwards"} & set(draft.clause.words) else ""


def _leans_on(moment: Moment, n: int, entries: Sequence[Entry | None]) -> Entry | None:
    """Find the movement or meal that a time names, or for "an hour later" what was said before."""
    others = [e for k, e in enumerate(entries) if e is not None and k != n]
    if moment.side == "later":
        said = [e for e in entries[:n] if e is not None and _at_of(e) is not None]
        return said[-1] if said else None
    if moment.side_what:
        moved = [e for e in others if isinstance(e, Activity)]
        named = (e for e in moved if e.what == moment.side_what)
        return next(named, moved[0] if moved and moment.side == "during" else None)
    if moment.side_slot:
        return next((e for e in others if isinstance(e, Meal) and e.slot == moment.side_slot), None)
    return None


def _at_of(entry: Entry) -> datetime | None:
    at = getattr(entry, "at", None)
    return at if isinstance(at, datetime) else None


def meal_beside(n: int, entries: Sequence[Entry | None]) -> Meal | None:
    """Return the meal said last before part `n`, failing that the first behind it."""
    before = next((e for e in reversed(entries[:n]) if isinstance(e, Meal)), None)
    return before or next((e for e in entries[n:] if isinstance(e, Meal)), None)
