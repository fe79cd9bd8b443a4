"""What a correction puts in the place of what was noted: another food, amount, time or meal's name."""

import re
from dataclasses import replace
from datetime import datetime

from bot.entries import Activity, Correction, Entry, Item, Meal, Nothing, Slot, Understood
from bot.understanding.context import Context
from bot.understanding.corrections.last_plate import (
    as_much,
    by_name,
    counted,
    items_in,
    meant_by,
    named_in,
    said_with,
    same_as,
    unit_and_name,
    was_said,
    with_unit,
)
from bot.understanding.corrections.patterns import (
    HOW_TO_SAY,
    KIND,
    MORE,
    MOST_NAME,
    SURE_KIND,
)
from bot.understanding.foods.foods import make_item
from bot.understanding.foods.places import FILLER
from bot.understanding.foods.said import Said
from bot.understanding.notes.asides import is_filler
from bot.understanding.notes.notes import fold, read_notes
from bot.understanding.pieces.drafts import join_moments
from bot.understanding.pieces.instants import Resolved, resolve
from bot.understanding.pieces.pieces import EVENING, Amount, Moment, Piece, SlotWord
from bot.understanding.pieces.slots import USUAL_TIME
from bot.understanding.pieces.units import UNITS
from bot.understanding.words.tokens import Token


def of_same_kind(new: str, gone: Item, context: Context) -> str:
    """Return "flour tortillas" for "change the corn tortillas to flour"."""
    named = f"{new} {gone.name.split()[-1]}"
    known = context.table.match(named)
    both = len(gone.name.split()) > 1 and known is not None and known.sure >= SURE_KIND
    return named if both and gone.name.split()[-1] not in new.split() else new


def read_kind(rest: str, said: str, context: Context) -> Understood | None:
    """Read which kind of a food it was, in the same amount: "bread was rye", "the milk was oat milk"."""
    match = KIND.fullmatch(rest)
    meant = (
        meant_by(items_in(match[1], context), context)
        if match is not None and len(match[1]) < MOST_NAME
        else []
    )
    if match is None or len(meant) != 1:
        return None
    kind = match[2] if meant[0].name.split()[-1] in match[2].split() else f"{match[2]} {match[1]}"
    known = context.table.match(kind)
    fresh = items_in(kind, context) if known is not None and known.sure >= SURE_KIND else []
    if len(fresh) != 1 or fresh[0].name == meant[0].name:
        return None
    return Understood((Correction("amount", (as_much(fresh[0], meant[0]),), said=said),))


def read_other_kind(rest: str, said: str, context: Context) -> Understood | None:
    """Read "it was brown rice" of what was noted as rice: the same amount of it."""
    fresh = items_in(rest, context) if len(rest) < MOST_NAME else []
    gone = meant_by(fresh, context)
    if len(fresh) != 1 or not gone or fresh[0].food is None or fresh[0].name == gone[0].name:
        return None
    return Understood((Correction("amount", (as_much(fresh[0], gone[0]),), said=said),))


def read_other_food(old: str, new: str, said: str, context: Context) -> Understood | None:
    """Read "jam was honey": another food than the one on the plate; None where either is none."""
    if len(old) > MOST_NAME or len(new) > MOST_NAME or "," in new or len(items_in(new, context)) != 1:
        return None
    gone = meant_by(items_in(old, context) or by_name(old, context), context)
    fresh = items_in(new, context)
    if not gone or fresh[0].food is None:
        return None
    return read_swap(new, old, said, context, sharp=True)


def read_swap(new: str, old: str, said: str, context: Context, *, sharp: bool) -> Understood | None:
    """Read "X, not Y": a time for a time, a meal's name for a name, a food for a food."""
    old_pieces = fold(old, context.table)
    counts = (
        len(old_pieces) == 1 and isinstance(old_pieces[0], Amount) and not was_said(old_pieces[0], context)
    )
    if (counts or not old_pieces) and time_only(with_at(old), context):
        old_pieces = fold(with_at(old), context.table)
    both_marks = all(isinstance(p, Moment | SlotWord) for p in old_pieces) and bool(old_pieces)
    if both_marks:
        timed = with_at(new) if all(isinstance(p, Amount) for p in fold(new, context.table)) else new
        return read_new(timed if time_only(timed, context) else new, said, context, sharp=True)
    if old_pieces and all(isinstance(p, Amount) for p in old_pieces):
        return _read_number(new, old_pieces[0], said, context)
    fresh, gone = items_in(new, context), meant_by(items_in(old, context) or by_name(old, context), context)
    if not gone:
        return read_new(new, said, context, sharp=True) if sharp else None
    if not fresh:
        bare = (
            re.fullmatch(r"\d+|[a-z]+", new)
            if sharp and all(isinstance(p, Amount) for p in fold(new, context.table))
            else None
        )
        return (
            None if bare is None else read_new(f"{new} {unit_and_name(gone[0])}", said, context, sharp=True)
        )
    if fresh[0].name == gone[0].name:
        return Understood((Correction("amount", tuple(fresh), said=said),))
    alike = bool(set(fresh[0].said.lower().split()) & set(gone[0].name.split()))
    if alike and not fresh[0].stated:
        fresh[0] = as_much(fresh[0], gone[0])
    return Understood(
        (Correction("add", tuple(fresh), said=said), Correction("remove", tuple(gone), said=said))
    )


def _read_number(new: str, old: Piece, said: str, context: Context) -> Understood | None:
    """Read "200 not 150", "bread 50 not 100": a number for the one that a food was said with."""
    assert isinstance(old, Amount)
    named = re.fullmatch(r"(.+?) (\d+(?:[.,]\d+)?)", new)
    if named is not None and (meant := meant_by(items_in(named[1], context), context)):
        return read_new(f"{with_unit(named[2], meant[0])} {named[1]}", said, context, sharp=True)
    bare = re.fullmatch(r"\d+(?:[.,]\d+)?", new)
    items = context.last.items if isinstance(context.last, Meal) else ()
    had = [i for i in items if said_with(i, old.value)]
    if bare is not None and len(had) == 1:
        return read_new(f"{with_unit(new, had[0])} {unit_and_name(had[0])}", said, context, sharp=True)
    return read_new(new, said, context, sharp=True)


def read_new(rest: str, said: str, context: Context, *, sharp: bool) -> Understood | None:
    """Read what it should be instead: a time, a meal's name, an amount, foods with amounts."""
    pieces = fold(rest, context.table)
    solid = [
        p for p in pieces if not (isinstance(p, Token) and (p.kind == "mark" or p.text in FILLER | {"and"}))
    ]
    moment = join_moments([p for p in solid if isinstance(p, Moment)])
    slot = next((p.slot for p in solid if isinstance(p, SlotWord)), None)
    entries: list[Entry] = []
    asks: list[str] = []
    amounts = any(isinstance(p, Amount) for p in solid)
    if moment is not None and amounts and not (moment.has_clock or moment.has_day):
        moment = None  # "the dosa was 2 only in the morning" says which meal
    if moment is not None:
        resolved = _move(moment, slot, context)
        end = None if moment.until is None else _move(moment.until, slot, context).at
        if isinstance(context.last, Activity) and resolved.at is not None and end is not None:
            minutes = (end - resolved.at).total_seconds() / 60  # "should say 3:30 to 5:30"
            entries += [Correction("amount", minutes=minutes, said=said)] if minutes > 0 else []
        if resolved.at is not None:
            entries.append(Correction("time", at=resolved.at, said=said))
        asks += [resolved.ask] if resolved.ask else []
    if slot is not None:
        entries.append(Correction("slot", slot=slot, said=said))
    others = [p for p in solid if not isinstance(p, Moment | SlotWord)]
    if not others:
        return Understood(tuple(entries), tuple(asks)) if entries or asks else None
    if len(others) == 1 and isinstance(others[0], Amount) and not sharp and others[0].decimal:
        return None  # "it was five point six at nine" is a reading
    if all(isinstance(p, Amount) for p in others):
        return _read_amount(others[-1], rest, said, context) if isinstance(others[-1], Amount) else None
    found = read_notes(rest, context)
    notes, more = found.entries, found.asks
    meals = [n for n in notes if isinstance(n, Meal)]
    # A weak opening makes a correction only of what was on the plate: "oh, two biscuits at 11" is a note.
    sharp = sharp or context.answering == "amounts"
    changes = sharp or (len(meals) == 1 and any(i.stated and same_as(i, context) for i in meals[0].items))
    if len(meals) == 1 and len(notes) == 1 and not found.left_out and changes:
        items = tuple(named_in(item, context) for item in meals[0].items)
        if not items:
            return None
        if entries and all(same_as(i, context) and not i.stated for i in items):
            return Understood(tuple(entries), tuple(asks))  # "the pasta was tonight"
        return Understood((Correction("amount", items, said=said), *entries), tuple(asks))
    if not sharp:
        return None
    if any(not isinstance(n, Meal) for n in notes):
        return Understood((), ("That is no change to a meal: say “undo” first, then the right one.",))
    return Understood((Nothing(said),), tuple(more[:1]) or (HOW_TO_SAY,))


def _read_amount(amount: Amount, rest: str, said: str, context: Context) -> Understood | None:
    """Give an amount by itself to the one food of the last meal that it fits."""
    items = context.last.items if isinstance(context.last, Meal) else ()
    told = [i for i in items if counted(i)]
    if not amount.unit and len(told) == 1:  # "make that three" of "2 slices toast with jam"
        new = f"{amount.value:g} {unit_and_name(told[0])}"
        return read_new(new, said, context, sharp=True)
    # Those that were said in that unit before come first, then those that can be counted in it.
    unit = amount.unit
    so_said = [i for i in items if unit and unit in {UNITS.get(word) for word in i.said.lower().split()}]
    fitting: list[Item] = []
    for item in so_said or items:
        match = context.table.match(item.name)
        named = Said(item.name.split(), amount, amount.start, amount.end, match=match)
        if match is None or context.table.weigh(match, unit or "piece") is not None:
            fitting.append(make_item(named, rest, context.table))
    if len(fitting) == 1:
        return Understood((Correction("amount", (fitting[0],), said=said),))
    what = " ".join(rest.split())
    return Understood((Nothing(said),), (f"{what} of what? Say it like “no, 150 g rice”.",))


def read_bare_amount(plain: str, said: str, context: Context) -> Understood | None:
    """Read "only 1 slice", "3 slices": an amount by itself is no note, but that of a food on the plate."""
    pieces = fold(plain, context.table)
    amounts = [p for p in pieces if isinstance(p, Amount)]
    others = [p for p in pieces if not (isinstance(p, Amount) or is_filler(p))]
    if len(amounts) != 1 or others or not amounts[0].unit or amounts[0].minutes is not None:
        return None
    found = _read_amount(amounts[0], plain, said, context)
    if found is None or not isinstance(found.entries[0], Correction):
        return None
    if MORE.search(plain) is not None:
        return replace(found, entries=(replace(found.entries[0], what="add"),))
    return found


def with_at(text: str) -> str:
    """Return words with "at" before them."""
    return text if text.startswith(("at ", "@")) else f"at {text}"


def time_only(text: str, context: Context) -> bool:
    """Tell whether words say nothing but a time."""
    pieces = [
        p
        for p in fold(text, context.table)
        if not (isinstance(p, Token) and (p.kind == "mark" or p.text in FILLER))
    ]
    return bool(pieces) and all(isinstance(p, Moment) for p in pieces)


def _nearest(moment: Moment, at: datetime, context: Context) -> Moment:
    """Choose the half of the day that puts an open hour next to the time it corrects."""
    if moment.half or moment.part or moment.padded or not 1 <= (moment.hour or 0) <= 12:
        return moment
    halves = [replace(moment, half=half, loose=False) for half in ("am", "pm")]
    found = [(resolve(half, context.now, context.zone).at, half) for half in halves]
    near = [(abs(then - at), half) for then, half in found if then is not None]
    return min(near, key=lambda pair: pair[0])[1] if near else moment


def _move(moment: Moment, slot_said: Slot | None, context: Context) -> Resolved:
    """Resolve a corrected time: on the day of the entry it corrects, unless a day is said."""
    last = context.last
    if slot_said in USUAL_TIME and moment.hour is None and moment.has_day:
        return resolve(moment, context.now, context.zone, slot_said)  # "that's dinner from yesterday"
    at = getattr(last, "at", None)
    if not isinstance(at, datetime) or (moment.has_clock and (moment.has_day or moment.hour is None)):
        return resolve(moment, context.now, context.zone)
    local = at.astimezone(context.zone)
    if moment.hour is None and moment.days == 0 and moment.part:
        return resolve(moment, context.now, context.zone, "dinner" if moment.part in EVENING else None)
    if moment.hour is None:  # only another day: the clock time stays
        same = replace(moment, hour=local.hour, minute=local.minute, padded=True, part="")
        return resolve(same, context.now, context.zone)
    day = local.date()
    slot = slot_said or (last.slot if isinstance(last, Meal) and last.timed != "now" else None)
    moment = moment if day == context.local_now.date() else replace(moment, on=day)
    if getattr(last, "timed", "stated") == "stated" and slot_said is None:
        moment = _nearest(moment, at, context)
    found = resolve(moment, context.now, context.zone, slot)
    if found.at is None and slot is not None:
        found = resolve(moment, context.now, context.zone)
    return found
