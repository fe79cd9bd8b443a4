"""Messages that change what was noted: "no, 150 g rice", "it was at 8", "remove the butter", "undo"."""

import re
from dataclasses import replace
from datetime import datetime

from bot.entries import Correction, Entry, Item, Meal, Nothing, Slot, Understood
from bot.understanding.context import Context
from bot.understanding.correction_words import (
    ADD,
    AMEND,
    AND_TOO,
    BARE_UNDO,
    CHANGE,
    HAD_TOO,
    HELPING,
    HOW_TO_SAY,
    IN_ANOTHER,
    INSTEAD,
    KIND,
    MISTAKEN,
    MORE,
    MOST_CHARS,
    MOST_NAME,
    MOVED,
    NO_FOOD,
    NOT_BEHIND,
    NOT_BUT,
    NOT_SO,
    OTHER_ENTRIES,
    OWNING_UP,
    POLITE,
    REMOVE,
    REPLACE,
    SAID_BUT,
    SOME_MORE,
    SURE_KIND,
    TRAILING,
    UNDO,
    UNDO_BECAUSE,
    WAS_NOT,
    WEAK,
    WITH_AMOUNT,
)
from bot.understanding.drafts import join_moments
from bot.understanding.foods import Said, make_item
from bot.understanding.instants import Resolved, resolve
from bot.understanding.last_plate import (
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
from bot.understanding.movements import find_movement
from bot.understanding.notes import fold, read_notes
from bot.understanding.pieces import EVENING, Amount, Moment, Piece, SlotWord
from bot.understanding.places import FILLER
from bot.understanding.rescaling import read_rescaling
from bot.understanding.slots import SLOT_WORDS, USUAL_TIME
from bot.understanding.targets import Target, find_target, is_meant
from bot.understanding.telling import is_filler
from bot.understanding.tokens import Token
from bot.understanding.units_said import UNITS


def read_correction(text: str, context: Context) -> Understood | None:
    """Return the corrections that a message makes, None when it is something else."""
    if len(text) > MOST_CHARS:
        return None
    said = " ".join(text.split())
    plain = said.lower().replace("’", "'").rstrip(" .!").lstrip(" .…-")
    plain = re.sub(r"^([^,]+) i (?:mean|meant)$", r"i meant, \1", plain)
    plain = TRAILING.sub("", OWNING_UP.sub("", POLITE.sub("", plain))) or plain
    mistaken = MISTAKEN.fullmatch(plain)
    if mistaken is not None and context.last is not None:
        owned = read_correction(f"no, {mistaken['rest']}", context)
        if owned is not None:
            return replace(owned, entries=tuple(replace(e, said=said) for e in owned.entries))
    target = find_target(said, context.zone, context.now)
    if target is not None and (target.surely or _was_noted(target, context)):
        last = context.last
        if isinstance(last, Meal) and target.slot is not None:
            last = replace(last, slot=target.slot, timed="slot")
        named = read_correction(target.rest, replace(context, last=last))
        if named is not None:
            return replace(named, entries=tuple(_about(e, target, said) for e in named.entries))
    undo = UNDO.fullmatch(plain)
    if undo is not None and plain not in BARE_UNDO - {"cancel", "scrap"}:
        return Understood((Correction("undo", said=said),))
    if context.last is not None and NOT_SO.fullmatch(plain) is not None:
        return Understood((Correction("undo", said=said),))
    because = UNDO_BECAUSE.fullmatch(plain)
    if because is not None and because["undo"] not in BARE_UNDO:
        return _read_remove(because["why"], said, context) or Understood((Correction("undo", said=said),))
    found = read_rescaling(plain, said, context) or _read_replace(plain, said, context)
    found = found or _read_remove(plain, said, context) or _read_add(plain, said, context)
    if found is None:
        found = _read_amend(plain, said, context)
    if found is None and isinstance(context.last, Meal):
        found = _read_bare_amount(plain, said, context)
    if found is None and context.last is not None and _time_only(plain, context):
        found = _read_new(plain, said, context, sharp=True)  # a time by itself is no note
    if found is None and context.answering:
        found = _read_answer(plain, said, context)
    return found


def _was_noted(target: Target, context: Context) -> bool:
    return isinstance(context.last, Meal) and is_meant(context.last, target, context.zone)


def _about(entry: Entry, target: Target, said: str) -> Entry:
    if not isinstance(entry, Correction):
        return entry
    return replace(entry, slot_of=target.slot, day_of=target.day, said=said)


def _read_replace(plain: str, said: str, context: Context) -> Understood | None:
    """Read "swap the butter for jam": one food for another that was on the plate."""
    match = REPLACE.fullmatch(plain)
    if match is None or not isinstance(context.last, Meal) or match[2] in SLOT_WORDS:
        return None
    if CHANGE.fullmatch(plain) is not None and meant_by(items_in(match[1], context), context):
        return None  # "change banana to 2 bananas"
    gone = meant_by(items_in(match[1], context) or by_name(match[1], context), context)
    new = _of_same_kind(match[2], gone[0], context) if gone else match[2]
    return _read_swap(new, match[1], said, context, sharp=False) or Understood(
        (Nothing(said),), (HOW_TO_SAY,)
    )


def _of_same_kind(new: str, gone: Item, context: Context) -> str:
    """Return "flour tortillas" for "change the corn tortillas to flour"."""
    named = f"{new} {gone.name.split()[-1]}"
    known = context.table.match(named)
    both = len(gone.name.split()) > 1 and known is not None and known.sure >= SURE_KIND
    return named if both and gone.name.split()[-1] not in new.split() else new


def _read_remove(plain: str, said: str, context: Context) -> Understood | None:
    match = REMOVE.fullmatch(plain)
    surely = match is not None
    if match is None and isinstance(context.last, Meal):
        match = NO_FOOD.fullmatch(plain)
    if match is None or (plain.startswith("skip") and find_movement(plain.split())):
        return None
    if _names_other(match[1], context):
        return Understood((Correction("undo", said=said),))
    if re.split(r"[ ,;:]", match[1])[0] in SLOT_WORDS:
        return None  # "skipped breakfast, just a coffee"
    rest = re.sub(
        r"[,;.] (?:because |as |since )?(?:i|we|it|they) .*$", "", match[1]
    )  # "..., I did not eat it"
    rest = re.sub(r"(?:,? (?:after all|again|please|from it|from that|on it|with it|in the end))+$", "", rest)
    items = [named_in(item, context) for item in items_in(rest, context) or by_name(rest, context)]
    if not surely:
        items = [item for item in items if same_as(item, context) is not None]
    if not items:
        return None
    return Understood((Correction("remove", tuple(items), said=said),))


def _names_other(words: str, context: Context) -> bool:
    """Tell whether what is to be removed is no food but an entry of another kind: "delete the walk"."""
    known = [word for word in words.split() if word not in ("that", "this", "last", "my", "the")]
    if len(known) != 1 or isinstance(context.last, Meal) or context.last is None:
        return False
    return known[0] in OTHER_ENTRIES or find_movement(known) is not None


def _read_add(plain: str, said: str, context: Context) -> Understood | None:
    match = ADD.fullmatch(plain)
    if match is None and isinstance(context.last, Meal):
        match = AND_TOO.fullmatch(plain)
    rest = "" if match is None else match[1]
    had = HAD_TOO.fullmatch(plain) if isinstance(context.last, Meal) and match is None else None
    if had is not None and not had["part"].startswith("no "):
        whole = had["whole"]
        if not whole or meant_by(items_in(whole, context), context):
            rest = had["part"]  # "the soup had cream in it"
    helping = HELPING.fullmatch(plain)
    more = SOME_MORE.fullmatch(plain)
    if match is None and more is not None and meant_by(items_in(more[2], context), context):
        rest = f"{more[1]} {more[2]}"
    if match is None and helping is not None and meant_by(items_in(helping["food"], context), context):
        rest = helping["food"]
    if not rest:
        return None
    rest = re.sub(r"(?:,? (?:too|as well|also|to it|to that|please))+$", "", rest)
    into = IN_ANOTHER.search(rest)
    if into is not None and meant_by(items_in(into[0].split()[-1], context), context):
        rest = rest[: into.start()] + rest[into.end() :]  # "the sugar in the coffee, 1 tsp"
    entries, asks = read_notes(rest, context)
    if len(entries) != 1 or not isinstance(entries[0], Meal) or entries[0].timed == "stated":
        return Understood((), tuple(asks)) if asks and not entries else None
    return Understood((Correction("add", entries[0].items, said=said),), tuple(asks))


def _read_amend(plain: str, said: str, context: Context) -> Understood | None:
    rest, opened = plain, ""
    while (match := AMEND.match(rest)) is not None:
        if (
            match[0].strip() == "no"
            and rest != "no"
            and not re.match(r"no (?:it|that|i|make|not|sorry|actually|wait|\d|.* (?:was|were) )", rest)
        ):
            break
        opened = match[0].strip(" ,:.;!-") if not opened or opened in WEAK else opened
        rest = rest[match.end() :]
    if opened and not rest:
        return Understood((Nothing(said),), (HOW_TO_SAY,))
    sharp = bool(opened) and (opened not in WEAK or plain.startswith(("no,", "no ", "sorry,")))
    was_not = WAS_NOT.fullmatch(rest) or WAS_NOT.fullmatch(plain)
    if was_not is not None and context.last is not None:
        fresh = _read_new(was_not[2], said, context, sharp=False)
        if fresh is not None and all(getattr(e, "what", "") in ("time", "slot") for e in fresh.entries):
            return fresh  # "wasn't dinner, it was a late lunch"
    if was_not is not None and isinstance(context.last, Meal):
        gone = meant_by(items_in(was_not[1], context) or by_name(was_not[1], context), context)
        if gone:
            kind = _of_same_kind(was_not[2], gone[0], context)
            return _read_swap(kind, was_not[1], said, context, sharp=True)
    said_but = SAID_BUT.fullmatch(plain) or SAID_BUT.fullmatch(rest)
    if said_but is not None and isinstance(context.last, Meal):
        old, new = (word for word in said_but.groups() if word)
        found = _read_other_food(old, new, said, context)
        if found is not None:
            return found
    swapped = NOT_BUT.fullmatch(rest)
    instead = INSTEAD.fullmatch(rest)
    if swapped is not None:
        found = _read_swap(swapped[2], swapped[1], said, context, sharp=True)
    elif instead is not None:
        found = _read_swap(instead[1], instead[2], said, context, sharp=sharp)
    elif opened:
        found = _read_new(rest, said, context, sharp=sharp)
    else:
        found = None
    if found is None and isinstance(context.last, Meal):
        found = _read_change(rest, said, context) or _read_kind(rest, said, context)
        found = found or (_read_other_kind(rest, said, context) if opened else None)
        was = KIND.fullmatch(rest)
        if found is None and was is not None:
            found = _read_other_food(was[1], was[2], said, context)
    return found


def _read_change(rest: str, said: str, context: Context) -> Understood | None:
    """Read "the butter was 20 g", "change banana to 2 bananas", "the ale was a half, not a pint"."""
    behind = NOT_BEHIND.fullmatch(rest)
    if behind is not None and CHANGE.fullmatch(behind[1]) is not None:
        unit = f" {behind[2]}" if behind[1].endswith(("half", "quarter", "double")) else ""
        found = _read_change(behind[1] + unit, said, context)
        if found is not None:
            return found
    moved = MOVED.fullmatch(rest)
    if moved is not None and meant_by(items_in(moved[1], context), context):
        for timed in (moved[2], _with_at(moved[2])):
            if _time_only(timed, context):
                return _read_new(timed, said, context, sharp=True)
    told = WITH_AMOUNT.fullmatch(rest)
    if told is not None and meant_by(items_in(told["food"], context), context):
        return _read_new(f"{told['much']} {told['food']}", said, context, sharp=True)
    change = CHANGE.fullmatch(rest)
    meant = meant_by(items_in(change[1], context), context) if change is not None else []
    if change is None or not meant:
        return None
    if meant_by(items_in(change[2], context), context):
        return _read_new(change[2], said, context, sharp=True)
    name = meant[0].name if set(change[1].split()) <= set(meant[0].name.split()) else change[1]
    return _read_new(f"{with_unit(change[2], meant[0])} {name}", said, context, sharp=True)


def _read_kind(rest: str, said: str, context: Context) -> Understood | None:
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


def _read_other_kind(rest: str, said: str, context: Context) -> Understood | None:
    """Read "it was brown rice" of what was noted as rice: the same amount of it."""
    fresh = items_in(rest, context) if len(rest) < MOST_NAME else []
    gone = meant_by(fresh, context)
    if len(fresh) != 1 or not gone or fresh[0].food is None or fresh[0].name == gone[0].name:
        return None
    return Understood((Correction("amount", (as_much(fresh[0], gone[0]),), said=said),))


def _read_other_food(old: str, new: str, said: str, context: Context) -> Understood | None:
    """Read "jam was honey": another food than the one on the plate; None where either is none."""
    if len(old) > MOST_NAME or len(new) > MOST_NAME or "," in new or len(items_in(new, context)) != 1:
        return None
    gone = meant_by(items_in(old, context) or by_name(old, context), context)
    fresh = items_in(new, context)
    if not gone or fresh[0].food is None:
        return None
    return _read_swap(new, old, said, context, sharp=True)


def _read_swap(new: str, old: str, said: str, context: Context, *, sharp: bool) -> Understood | None:
    """Read "X, not Y": a time for a time, a meal's name for a name, a food for a food."""
    old_pieces = fold(old, context.table)
    counts = (
        len(old_pieces) == 1 and isinstance(old_pieces[0], Amount) and not was_said(old_pieces[0], context)
    )
    if (counts or not old_pieces) and _time_only(_with_at(old), context):
        old_pieces = fold(_with_at(old), context.table)
    both_marks = all(isinstance(p, Moment | SlotWord) for p in old_pieces) and bool(old_pieces)
    if both_marks:
        timed = _with_at(new) if all(isinstance(p, Amount) for p in fold(new, context.table)) else new
        return _read_new(timed if _time_only(timed, context) else new, said, context, sharp=True)
    if old_pieces and all(isinstance(p, Amount) for p in old_pieces):
        return _read_number(new, old_pieces[0], said, context)
    fresh, gone = items_in(new, context), meant_by(items_in(old, context) or by_name(old, context), context)
    if not gone:
        return _read_new(new, said, context, sharp=True) if sharp else None
    if not fresh:
        bare = (
            re.fullmatch(r"\d+|[a-z]+", new)
            if sharp and all(isinstance(p, Amount) for p in fold(new, context.table))
            else None
        )
        return (
            None if bare is None else _read_new(f"{new} {unit_and_name(gone[0])}", said, context, sharp=True)
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
        return _read_new(f"{with_unit(named[2], meant[0])} {named[1]}", said, context, sharp=True)
    bare = re.fullmatch(r"\d+(?:[.,]\d+)?", new)
    items = context.last.items if isinstance(context.last, Meal) else ()
    had = [i for i in items if said_with(i, old.value)]
    if bare is not None and len(had) == 1:
        return _read_new(f"{with_unit(new, had[0])} {unit_and_name(had[0])}", said, context, sharp=True)
    return _read_new(new, said, context, sharp=True)


def _read_new(rest: str, said: str, context: Context, *, sharp: bool) -> Understood | None:
    """Read what it should be instead: a time, a meal's name, an amount, foods with amounts."""
    pieces = fold(rest, context.table)
    solid = [
        p for p in pieces if not (isinstance(p, Token) and (p.kind == "mark" or p.text in FILLER | {"and"}))
    ]
    moment = join_moments([p for p in solid if isinstance(p, Moment)])
    slot = next((p.slot for p in solid if isinstance(p, SlotWord)), None)
    entries: list[Entry] = []
    asks: list[str] = []
    if moment is not None:
        resolved = _move(moment, slot, context)
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
    notes, more = read_notes(rest, context)
    meals = [n for n in notes if isinstance(n, Meal)]
    # A weak opening makes a correction only of what was on the plate: "oh, two biscuits at 11" is a note.
    sharp = sharp or context.answering == "amounts"
    changes = sharp or (len(meals) == 1 and any(i.stated and same_as(i, context) for i in meals[0].items))
    if len(meals) == 1 and len(notes) == 1 and changes:
        items = tuple(named_in(item, context) for item in meals[0].items)
        if not items:
            return None
        if entries and all(same_as(i, context) and not i.stated for i in items):
            return Understood(tuple(entries), tuple(asks))  # "the pasta was tonight"
        return Understood((Correction("amount", items, said=said), *entries), tuple(asks))
    if not sharp:
        return None
    if any(not isinstance(n, Meal | Nothing) for n in notes):
        return Understood((), ("That is no change to a meal: say “undo” first, then the right one.",))
    return Understood((Nothing(said),), tuple(more[:1]) or (HOW_TO_SAY,))


def _read_amount(amount: Amount, rest: str, said: str, context: Context) -> Understood | None:
    """Give an amount by itself to the one food of the last meal that it fits."""
    items = context.last.items if isinstance(context.last, Meal) else ()
    told = [i for i in items if counted(i)]
    if not amount.unit and len(told) == 1:  # "make that three" of "2 slices toast with jam"
        new = f"{amount.value:g} {unit_and_name(told[0])}"
        return _read_new(new, said, context, sharp=True)
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


def _read_bare_amount(plain: str, said: str, context: Context) -> Understood | None:
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


def _read_answer(plain: str, said: str, context: Context) -> Understood | None:
    """Read a bare answer to what the bot asked: a time, or amounts of foods."""
    if context.answering == "time":
        timed = plain if _time_only(plain, context) else _with_at(plain)
        return _read_new(timed, said, context, sharp=True) if _time_only(timed, context) else None
    if context.answering == "amounts":
        pieces = fold(plain, context.table)
        if any(isinstance(p, Moment | SlotWord) for p in pieces):
            return None
        return _read_new(plain, said, context, sharp=False)
    return None


def _with_at(text: str) -> str:
    return text if text.startswith(("at ", "@")) else f"at {text}"


def _time_only(text: str, context: Context) -> bool:
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
