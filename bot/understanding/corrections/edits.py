"""Messages as changes of the diary: every shape on every entry it may mean, weighed; the cheapest is taken.

A message may hold several changes; they are read one after the other, each on the diary as the one before
left it.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import combinations, pairwise
from math import inf

from bot.model.entries import Activity, Choice, Correction, Meal, Stored
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context, Noted
from bot.understanding.corrections.change import Change, fits_order, items_of
from bot.understanding.corrections.element import Element, tags_of
from bot.understanding.corrections.elements import read_elements, relink
from bot.understanding.corrections.entry_names import began, name_entry
from bot.understanding.corrections.known_foods import Plates
from bot.understanding.corrections.neighbours import only_adds
from bot.understanding.corrections.oddness import AT_ONCE, KNOWN, OPEN, oddness
from bot.understanding.corrections.operations import OPERATIONS
from bot.understanding.corrections.reasons import reason_cost
from bot.understanding.corrections.shapes import Frame, read_frames
from bot.understanding.corrections.targets import SURE_BY, SURE_OF_ONE, Target, find_targets
from bot.understanding.foods.own_table import scale
from bot.understanding.pieces.pieces import SlotWord
from bot.understanding.words.lexicon import TAGS

OF_CHANGE = "orwia"
MOST_ALONE = 8
"""Tags that words must begin with, to be a change of what is not noted, and how many there may be."""
STAND_IN_AGO = timedelta(minutes=20)
SURE_ALONE = 0.6
MOST_ELEMENTS = 40
MOST_PARTS = 5
PER_PART, PER_NAMED_PART = 1.1, 0.4
"""For each further change that a message is taken for; less where it says all: which food, and what of it."""
MOST_LISTED = 3
MOST_TRIED, MOST_OTHERS = 6, 4
HOW_TO_NAME = "Name it by its time or food, like “the soup at 12:30 was 300 g”."
FIND_NOTHING = "I find nothing like that to take out in the last days, so nothing is changed."
FIND_NO_FOOD = "I find no {food} in the last days that I could change."
NOT_THERE = 0.8
"""Words that begin with "remove" never note food, even where what they name is not there."""
ASKED = 1.0
"""A change that cannot be made as said, so that it has to be asked about."""
SAME = 1.5
"""A change that changes nothing."""
WAITED_FOR = 4.0
"""How much likelier a change is that answers what was asked."""
MOST_OFF_AMOUNT, MOST_OFF_OLD, MOST_OFF_LATER = -2 * OPEN, -KNOWN, 1.5
"""What may be taken off a change, at most: by its amount or its old value, or by the changes behind it."""
NAMED_AT_ONCE = -0.6
"""A food named again so soon, with an amount, is the one that was noted."""
SAME_PLATE = timedelta(minutes=45)
PER_MIN_LATE, MOST_LATE = 0.1, 3.0
"""How long more of a plate is told, and what each minute after that costs."""
FORGOTTEN = -2.0
"""What is said to be missing is of a plate that is noted."""
_PUTS_IN = re.compile("A?[FK]{1,2}")
ASKED_AMOUNT = "portion "
"""An amount behind a food that was put in is of it, as if it had been asked for: "it was crumpets, two"."""
CARRIED = "rdawe"
"""Cues that hold for what follows behind a comma: "remove the plum, and the cheese"."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One change that words may mean; second: the next likely one on another entry, if about as likely."""

    correction: Correction
    cost: float
    target: Target
    frame: Frame
    second: Correction | None = None
    ask: str = ""


def read_edits(
    text: str, context: Context, elements: Sequence[Element] | None = None, most: float = inf
) -> Candidate | None:
    """Return the cheapest way to read words as changes of the diary, None where there is none.

    elements: those of the text, where they are known already; most: what costs more need not be found
    """
    if elements is None:
        elements = read_elements(text, context, Plates(context))
    found = _read_elements(elements, text, context, most)
    put_on = _as_put_on_newest(elements, context)
    if put_on is None:
        return found
    new = _read_elements(put_on, text, context, most if found is None else min(most, found.cost))
    return new if new is not None and (found is None or new.cost < found.cost) else found


def _as_put_on_newest(elements: Sequence[Element], context: Context) -> list[Element] | None:
    """Take what stands only on older plates for new, beside a food of the newest: "the tea had milk"."""
    newest = context.noted[-1] if context.noted else None
    if newest is None or context.now - newest.touched_at > STAND_IN_AGO:
        return None
    older = {e for e in elements if e.on and newest.id not in {entry_id for entry_id, _ in e.on}}
    if not older or not any(e.on for e in elements if e not in older):
        return None
    return [replace(e, on=(), tag="F") if e in older else e for e in elements]


def _read_elements(elements: Sequence[Element], text: str, context: Context, most: float) -> Candidate | None:
    if not context.noted:
        return None if context.edited else _without_log(text, elements, context)
    if not elements or len(elements) > MOST_ELEMENTS:
        return None
    opens = next((e.tag for e in elements if e.tag not in "o,"), "")
    if opens == "r" or context.pointed is not None or context.answering:
        most = inf  # that nothing is found says something, or much is taken off
    best: tuple[float, list[Edit]] | None = None
    for parts in _ways_to_part(elements):
        found = _read_parts(parts, text, context, most if best is None else min(most, best[0]))
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None:
        named = any(e.tag in "PKFS" for e in elements)
        food = _swaps_unknown(elements, text)
        if food:
            return Candidate(cost=NOT_THERE, asks=(FIND_NO_FOOD.format(food=food),))
        return Candidate(cost=NOT_THERE, asks=(FIND_NOTHING,)) if opens == "r" and named else None
    cost, edits = best
    asks = tuple(edit.ask for edit in edits if edit.ask)
    unclear = next((e for e in edits if e.second is not None), None)
    if unclear is not None and unclear.second is not None:
        both = sorted([unclear.correction, unclear.second], key=lambda c: began(c, context))
        options = tuple((name_entry(c, context), c) for c in both)
        text_ = f"Which one do you mean: {options[0][0]} or {options[1][0]}?"
        return Candidate(cost=cost, choice=Choice(text_, options))
    chosen = tuple(e.correction for e in edits if not e.ask)
    return Candidate(chosen, cost=cost, asks=asks, finish=lambda: tuple(_with_others(edits, text, context)))


def _swaps_unknown(elements: Sequence[Element], text: str) -> str:
    """Return the food that is said to have been another though it stands on no plate, else nothing."""
    said = [e for e in elements if e.tag != "o"]
    if re.fullmatch(r"R?F[be]+F", "".join(e.tag for e in said)) is None:
        return ""
    food = next(e for e in said if e.tag == "F")
    before = text[: food.start].lower().split()
    return food.said.lower() if before and before[-1] in TAGS.definite else ""


def _with_others(edits: Sequence[Edit], text: str, context: Context) -> Iterator[Correction]:
    """Yield the changes, each with the same on the other entries that it could have meant."""
    for edit in edits:
        others = []
        for correction, target in _made_on(edit.frame, text, context):
            same = target.noted.id == edit.target.noted.id
            if not same and isinstance(correction, Correction) and correction.after != target.noted.entry:
                others.append(correction)
        if not edit.ask:
            yield replace(edit.correction, others=tuple(others[:MOST_OTHERS]))
        context = apply(edit.correction, context)


def _made_on(
    frame: Frame, text: str, context: Context, near: float = inf
) -> Iterator[tuple[Correction | str | None, Target]]:
    """Yield what a frame makes of each entry that it may mean, the likeliest first; near: of less cost."""
    operation = OPERATIONS[frame.op]
    for target in find_targets(frame, context, _named(frame), operation.fits)[:MOST_TRIED]:
        if target.cost >= near:
            return
        change = Change(frame, target, text, context)
        if fits_order(change):
            yield operation.do(change), target


def _named(frame: Frame) -> list[Element]:
    return [e for e in frame.all(*OPERATIONS[frame.op].items) if e.tag in "PK" and e.on]


def _without_log(text: str, elements: Sequence[Element], context: Context) -> Candidate | None:
    """Read words that can be nothing but a change where nothing is noted: as if of a plate of their foods."""
    tags = "".join(e.tag for e in elements)
    if len(elements) > MOST_ALONE or not (set(tags[:2]) & set(OF_CHANGE) or tags[:1] == "b"):
        return None
    foods = ", ".join(e.said for e in elements if e.tag in "PKF" and tags[:1] != "a")
    items = tuple(scale(item, 0.5) for item in items_of(foods, context)) if foods else ()
    plate = Noted(0, Meal(context.now - STAND_IN_AGO, "lunch", items), context.now - STAND_IN_AGO)
    found = read_edits(text, replace(context, log=(plate,)))
    if found is None or found.cost > SURE_ALONE or found.choice is not None:
        return None
    entries = tuple(replace(e, target=None, after=None) for e in found.entries if isinstance(e, Correction))
    return replace(found, entries=entries)


def _ways_to_part(elements: Sequence[Element]) -> list[list[list[Element]]]:
    """Return the ways to cut a message at its commas, the whole first."""
    commas = [k for k, e in enumerate(elements) if e.tag == ","]
    ways = [[list(elements)]]
    if not commas or len(commas) > 2 * MOST_PARTS:
        return ways
    for n in range(1, min(len(commas), MOST_PARTS - 1) + 1):
        for cuts in combinations(commas, n):
            bounds = [-1, *cuts, len(elements)]
            parts = [list(elements[a + 1 : b]) for a, b in pairwise(bounds)]
            if all(parts):
                ways.append(parts)
        if len(ways) > 120:
            break
    return ways


def _read_parts(
    parts: list[list[Element]], text: str, context: Context, most: float
) -> tuple[float, list[Edit]] | None:
    """Read each part as a change, or as the reason of the one before it."""
    edits: list[Edit] = []
    cost, opened, carried = 0.0, False, None
    waiting = list(parts)
    while waiting:
        part = waiting.pop(0)
        if all(e.tag in "o," for e in part) and len(parts) > 1:
            opened = True
            continue
        left = most - cost + MOST_OFF_LATER * len(waiting)
        if left <= -MOST_OFF_LATER:
            return None
        of_new = bool(edits) and edits[-1].frame.op == "swap"
        # "add a beer, a pint": not of the rice
        bare = bool(edits) and not of_new and all(e.tag in "A," for e in part)
        new = edits[-1].correction.items if of_new else ()
        around = replace(context, answering=f"{ASKED_AMOUNT}{new[-1].name}") if new else context
        edit = None if bare else _cheapest(part, text, around, left, opened=opened or bool(edits))
        edit = _of_added(edit, edits[-1], text, context) if edit is not None and edits else edit
        listed = len(part) <= MOST_LISTED and any(e.tag in "PKFA" for e in part)
        told = bool(edits) and edits[-1].frame.op in ("amount", "add")
        if told and (carried is None or carried.tag == "e") and tags_of(part).rstrip(",") == "AF":
            # "the shake was 300 ml, and a banana"
            carried = Element("a", part[0].start, part[0].start, "and")
        more = carried is not None and carried.tag == "a" and _PUTS_IN.match(tags_of(part)) is not None
        if carried is not None and listed and (edit is None or edit.cost > 1.2 or more):
            again = _cheapest([carried, *part], text, context, left, opened=True)
            edit = again if again is not None and (edit is None or more or again.cost < edit.cost) else edit
        reason = reason_cost(part) if edits else None
        only_says_why = edit is not None and bool(edits) and _only_says_why(edit, edits[-1])
        if edit is None or only_says_why or (reason is not None and reason < edit.cost):
            if reason is None:
                return None
            cost, carried = cost + reason, None
            continue
        if edits and edit.frame.op == "keep" and edit.correction.after == edit.target.noted.entry:
            cost += edit.cost
            continue  # "delete the toast, I only had the tea"
        before = {e.target.noted.id for e in edits}
        if edit.frame.op == "remove" and edit.correction.after is None and edit.target.noted.id in before:
            return None  # "bowl, not burrito": changed, and then nothing of it
        moved = isinstance(edit.target.noted.entry, Activity)  # "45 min, from 12"
        named = edit.frame.whole and (bool(_named(edit.frame)) or moved)
        cost += edit.cost + (PER_NAMED_PART if named else PER_PART) * bool(edits)
        edits.append(edit)
        carried = next((e for e in part if e.tag in CARRIED and edit.frame.whole), None)
        context = apply(edit.correction, context)
        plates = Plates(context)
        waiting = [[relink(e, plates) for e in later] for later in waiting]
        carried = None if carried is None else relink(carried, plates)
    return (cost, edits) if edits else None


def _of_added(edit: Edit, before: Edit, text: str, context: Context) -> Edit:
    """Let an amount that names nothing be of what was just put on the plate: "and a beer, shared it"."""
    meal, same = edit.target.noted.entry, edit.target.noted.id == before.target.noted.id
    if (
        not before.frame.all("new", "other")
        or edit.frame.op not in ("scale", "amount")
        or edit.target.places
        or not same
    ):
        return edit
    added = {id(item) for item in before.correction.items}
    places = tuple(k for k, i in enumerate(meal.items) if id(i) in added) if isinstance(meal, Meal) else ()
    target = replace(edit.target, places=places)
    made = OPERATIONS[edit.frame.op].do(Change(edit.frame, target, text, context)) if places else None
    return replace(edit, correction=made, target=target) if isinstance(made, Correction) else edit


def _only_says_why(edit: Edit, before: Edit) -> bool:
    """Tell whether words behind a change are no change of their own: "45 min, round twice", "half each"."""
    taken_out = before.correction.what == "undo" or before.correction.after is None
    if taken_out and not (edit.frame.all("at", "what") or _named(edit.frame)):
        return True  # "take the walk out, that was yesterday's"
    again = edit.frame.op == "scale" and edit.target.noted.id == before.target.noted.id
    said = before.frame.op == "scale" or isinstance(before.correction.after, Activity)
    return edit.correction.what == "undo" or (again and said)


def _cheapest(
    part: Sequence[Element], text: str, context: Context, most: float, *, opened: bool
) -> Edit | None:
    """Return the cheapest change that elements may mean, with the rival on another entry if it is close."""
    best: Edit | None = None
    for frame in sorted(read_frames(part, opened=opened), key=lambda f: f.cost):
        edit = _on_targets(frame, text, context, most if best is None else min(most, best.cost))
        if edit is not None and (best is None or edit.cost < best.cost):
            best = edit
    return best


def _most_off(frame: Frame, context: Context) -> float:
    """Return what it may take off a frame's cost, at most, what it makes of an entry."""
    old = "old" in frame.parts or "hour" in frame.parts
    off = MOST_OFF_AMOUNT * (frame.op == "amount") + MOST_OFF_OLD * old - FORGOTTEN * ("by" in frame.parts)
    return off + WAITED_FOR * bool(context.answering)


def _on_targets(frame: Frame, text: str, context: Context, most: float) -> Edit | None:
    """Return the cheapest change that a frame may mean; most: what costs more need not be found."""
    named = _named(frame)
    made: list[tuple[float, Correction, Target]] = []
    near = most + SURE_OF_ONE - frame.cost + _most_off(frame, context)
    for correction, target in _made_on(frame, text, context, near):
        if isinstance(correction, str):
            asked = Correction("time", said=text, target=target.noted.id, after=target.noted.entry)
            return Edit(asked, frame.cost + target.cost + ASKED, target, frame, ask=correction)
        if correction is not None:
            cost = frame.cost + target.cost + oddness(frame, target.noted.entry, correction, context)
            cost += SAME * (correction.after == target.noted.entry)
            cost += _late(frame, target, context)
            soon = context.now - target.noted.touched_at <= AT_ONCE
            cost += NAMED_AT_ONCE * (soon and frame.op == "amount" and bool(named))
            cost -= WAITED_FOR * _is_waited_for(frame, target, context)
            made.append((cost, correction, target))
        if len(made) == 2:
            break
    if not made:
        return _say_not_there(frame, text, context)
    made.sort(key=lambda one: one[0])
    cost, correction, target = made[0]
    second = made[1][1] if len(made) > 1 and _is_close(made, frame, named, context) else None
    return Edit(correction, cost, target, frame, second)


def _say_not_there(frame: Frame, text: str, context: Context) -> Edit | None:
    """Say that the meal named is not noted, where words can hardly be anything but a change of it."""
    named = next((e.piece.slot for e in frame.all("at", "at2") if isinstance(e.piece, SlotWord)), None)
    if named is None or frame.op not in ("undo", "remove") or not (frame.whole and context.noted):
        return None
    if any(isinstance(n.entry, Meal) and n.entry.slot == named for n in context.noted):
        return None
    newest = context.noted[-1]
    ask = f"I have no {named} to change in the last days. {HOW_TO_NAME}"
    nothing = Correction("undo", said=text, target=newest.id, after=newest.entry)
    return Edit(nothing, frame.cost + ASKED, Target(newest, 0.0), frame, ask=ask)


def _late(frame: Frame, target: Target, context: Context) -> float:
    """Return what it costs that more, said without a meal's name, still belongs to a plate."""
    by = frame.first("by")
    if not frame.all("by", "more", "again") or frame.all("to", "at", "at2", "at3"):
        return 0.0
    if by is not None and not only_adds(by):
        return FORGOTTEN
    late = (context.now - target.noted.touched_at - SAME_PLATE) / timedelta(minutes=1)
    return min(max(late * PER_MIN_LATE, 0.0), MOST_LATE)


def _is_waited_for(frame: Frame, target: Target, context: Context) -> bool:
    """Tell whether a change answers the question that is open."""
    asked = {"time": "move", "amounts": "amount"}.get(context.answering)
    return frame.whole and frame.op == asked and context.pointed in (None, target.noted.id)


def _is_close(
    made: list[tuple[float, Correction, Target]], frame: Frame, named: list[Element], context: Context
) -> bool:
    """Tell whether two entries fit about equally; what names no food or doing means the one touched last."""
    slots = {e.piece.slot for e in frame.all("at", "at2", "to") if isinstance(e.piece, SlotWord)}
    alike = all(isinstance(t.noted.entry, Meal) and t.noted.entry.slot in slots for _, _, t in made[:2])
    says_which = bool(named) or frame.first("what") is not None or alike
    sure = SURE_OF_ONE if _holds(made[0][2].noted.entry) == _holds(made[1][2].noted.entry) else SURE_BY
    return says_which and context.pointed is None and made[1][0] - made[0][0] < sure


def _holds(entry: Stored) -> object:
    """Return what an entry is of, so that two alike are known: two coffees, two walks."""
    return [item.food for item in entry.items] if isinstance(entry, Meal) else getattr(entry, "what", entry)


def apply(correction: Correction, context: Context) -> Context:
    """Return the context with the diary as a change leaves it."""
    if correction.target is None:
        return context.with_log(context.noted[:-1])
    log = []
    for noted in context.noted:
        if noted.id != correction.target:
            log.append(noted)
        elif correction.after is not None:
            log.append(Noted(noted.id, correction.after, context.now))
    changed = [n for n in log if n.id == correction.target]
    log = [n for n in log if n.id != correction.target] + changed
    return context.with_log(tuple(log))
