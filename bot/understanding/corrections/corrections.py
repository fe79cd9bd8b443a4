"""Messages that change what was noted: "no, 150 g rice", "it was at 8", "remove the butter", "undo"."""

import re
from dataclasses import replace
from datetime import timedelta

from bot.entries import Correction, Entry, Meal, Nothing, Understood
from bot.understanding.context import Context
from bot.understanding.corrections.last_plate import (
    by_name,
    items_in,
    meant_by,
    named_in,
    same_as,
    with_unit,
)
from bot.understanding.corrections.patterns import (
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
    TRAILING,
    UNDO,
    UNDO_BECAUSE,
    WAS_NOT,
    WEAK,
    WITH_AMOUNT,
)
from bot.understanding.corrections.replacing import (
    of_same_kind,
    read_bare_amount,
    read_kind,
    read_new,
    read_other_food,
    read_other_kind,
    read_swap,
    time_only,
    with_at,
)
from bot.understanding.corrections.rescaling import read_rescaling
from bot.understanding.corrections.targets import Target, find_target, is_meant
from bot.understanding.notes.notes import fold, read_notes
from bot.understanding.pieces.pieces import Moment, SlotWord
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.movements import find_movement

RESTATED_WITHIN = timedelta(hours=1)


def read_correction(text: str, context: Context) -> Understood | None:
    """Return the corrections that a message makes, None when it is something else."""
    if len(text) > MOST_CHARS:
        return None
    said = " ".join(text.split())
    plain = said.lower().replace("’", "'").rstrip(" .!").lstrip(" .…-")
    plain = re.sub(
        r"^([^,]+) (?:i (?:mean|meant)|actually(?=, (?:i|we|it|gave|the|he|she|they|my) ))(?:, .*)?$",
        r"i meant, \1",
        plain,
    )
    plain = re.sub(r"^(?:(?:well|honestly|yeah|hmm|um|tbh|right)[ ,]+)+(?=\S)", "", plain)
    plain = re.sub(r"^([^*]+)\*$", r"*\1", plain)
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
        found = read_bare_amount(plain, said, context)
    if found is None and isinstance(context.last, Meal):
        found = _read_restated(plain, said, context.last, context)
    if found is None and context.last is not None and time_only(plain, context):
        found = read_new(plain, said, context, sharp=True)  # a time by itself is no note
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
    if match is None or not isinstance(context.last, Meal) or match[2] in SLOT_WORDS or match[1] == "time":
        return None
    if CHANGE.fullmatch(plain) is not None and meant_by(items_in(match[1], context), context):
        return None  # "change banana to 2 bananas"
    gone = meant_by(items_in(match[1], context) or by_name(match[1], context), context)
    new = of_same_kind(match[2], gone[0], context) if gone else match[2]
    return read_swap(new, match[1], said, context, sharp=False) or Understood((Nothing(said),), (HOW_TO_SAY,))


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


def _read_restated(plain: str, said: str, last: Meal, context: Context) -> Understood | None:
    """Read "2 samosas" soon after "samosas and chai": how much of it there was, not another meal."""
    soon = last.at is not None and context.now - last.at <= RESTATED_WITHIN
    items = items_in(plain, context) if soon and len(plain) < MOST_NAME else []
    if len(items) != 1 or not items[0].stated:
        return None
    if any(isinstance(p, Moment | SlotWord) for p in fold(plain, context.table)):
        return None
    noted = next((item for item in last.items if item.name == items[0].name), None)
    if noted is None or noted.stated:
        return None
    return Understood((Correction("amount", (items[0],), said=said),))


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
    rest = "" if match is None else next(filter(None, match.groups()))
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
    found = read_notes(rest, context)
    entries, asks = found.entries, found.asks
    if (
        len(entries) != 1
        or found.left_out
        or not isinstance(entries[0], Meal)
        or entries[0].timed == "stated"
    ):
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
    if "time" in opened and time_only(with_at(rest), context):
        rest = with_at(rest)  # "time should be 6"
    sharp = bool(opened) and (opened not in WEAK or plain.startswith(("no,", "no ", "sorry,")))
    was_not = WAS_NOT.fullmatch(rest) or WAS_NOT.fullmatch(plain)
    if was_not is not None and context.last is not None:
        fresh = read_new(was_not[2], said, context, sharp=False)
        if fresh is not None and all(getattr(e, "what", "") in ("time", "slot") for e in fresh.entries):
            return fresh  # "wasn't dinner, it was a late lunch"
    if was_not is not None and isinstance(context.last, Meal):
        gone = meant_by(items_in(was_not[1], context) or by_name(was_not[1], context), context)
        if gone:
            kind = of_same_kind(was_not[2], gone[0], context)
            return read_swap(kind, was_not[1], said, context, sharp=True)
    said_but = SAID_BUT.fullmatch(plain) or SAID_BUT.fullmatch(rest)
    if said_but is not None and isinstance(context.last, Meal):
        old, new = (word for word in said_but.groups() if word)
        found = read_other_food(old, new, said, context)
        if found is not None:
            return found
    swapped = NOT_BUT.fullmatch(rest)
    instead = INSTEAD.fullmatch(rest)
    if swapped is not None:
        found = read_swap(swapped[2], swapped[1], said, context, sharp=True)
    elif instead is not None:
        found = read_swap(instead[1], instead[2], said, context, sharp=sharp)
    elif opened:
        found = read_new(rest, said, context, sharp=sharp)
    else:
        found = None
    if found is None and isinstance(context.last, Meal):
        found = _read_change(rest, said, context) or read_kind(rest, said, context)
        found = found or (read_other_kind(rest, said, context) if opened else None)
        was = KIND.fullmatch(rest)
        if found is None and was is not None:
            found = read_other_food(was[1], was[2], said, context)
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
        for timed in (moved[2], with_at(moved[2])):
            if time_only(timed, context):
                return read_new(timed, said, context, sharp=True)
    told = WITH_AMOUNT.fullmatch(rest)
    if told is not None and meant_by(items_in(told["food"], context), context):
        return read_new(f"{told['much']} {told['food']}", said, context, sharp=True)
    change = CHANGE.fullmatch(rest)
    meant = meant_by(items_in(change[1], context), context) if change is not None else []
    if change is None or not meant:
        return None
    if meant_by(items_in(change[2], context), context):
        return read_new(change[2], said, context, sharp=True)
    name = meant[0].name if set(change[1].split()) <= set(meant[0].name.split()) else change[1]
    return read_new(f"{with_unit(change[2], meant[0])} {name}", said, context, sharp=True)


def _read_answer(plain: str, said: str, context: Context) -> Understood | None:
    """Read a bare answer to what the bot asked: a time, or amounts of foods."""
    if context.answering == "time":
        timed = plain if time_only(plain, context) else with_at(plain)
        return read_new(timed, said, context, sharp=True) if time_only(timed, context) else None
    if context.answering == "amounts":
        pieces = fold(plain, context.table)
        if any(isinstance(p, Moment | SlotWord) for p in pieces):
            return None
        return read_new(plain, said, context, sharp=False)
    return None
