"""Which entry a change means: every live entry is weighed by what was said of it and by how fresh it is."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import pairwise

from bot.foodtable.words import make_key
from bot.model.entries import Activity, Feeling, Meal, Reading, Sleep, Stored
from bot.understanding.context import Context, Noted
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.shapes import Frame
from bot.understanding.pieces.instants import clocks_of, day_of
from bot.understanding.pieces.pieces import Moment, SlotWord
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import find_movement

POINTED, NOT_POINTED = -2.0, 2.5
"""For the entry that was answered to, and for others while one is pointed at."""
PER_RANK, PER_HOUR, MOST_OLD = 0.45, 0.06, 3.0
FRESH, FRESH_MIN = -0.8, 20
"""The entry touched last is meant more often than not, within so many minutes."""
MISFIT = 4.0
"""A slot, day or time that was named and does not fit."""
RECENT, OTHER_DAY = timedelta(hours=18), 0.5
"""A meal named without a day is one of so many hours; an older one is meant more seldom."""
OTHER_NAME = 1.0
"""For a food that was noted under a name that shares no word with the one said now (toast is bread)."""
CLOSE_MIN = 40
SURE_BY = 1.2
"""Two targets whose costs lie nearer together fit about equally: only the person can tell."""
SURE_OF_ONE = 2.2
"""... where both hold the same: "the coffee", after two of them."""

_WHICH = ("at", "at2", "at3", "to", "what", "obj")
"""The parts of a frame that say which entry is meant."""
_KINDS: dict[str, tuple[type, ...]] = {"M": (Activity,), "Z": (Sleep,), "G": (Reading,), "L": (Feeling,)}

_OF_ALL_KINDS = frozenset({"amount", "scale", "move", "undo", "value"})
"""What is done to other entries than meals: "the reading was 6.9" is no walk of 7 minutes."""


@dataclass(frozen=True, slots=True)
class Target:
    """An entry that may be meant, what that costs, and which of its items (by place)."""

    noted: Noted
    cost: float
    places: tuple[int, ...] = ()


def find_targets(
    frame: Frame, context: Context, items: Sequence[Element], fits: Callable[[Stored], bool]
) -> list[Target]:
    """Return the entries that a frame may mean, the likeliest first.

    items: the foods that must be on the plate; fits: whether the operation makes sense for an entry
    """
    found: list[Target] = []
    says_which = any(frame.parts.get(part) for part in _WHICH)
    beside = () if says_which or items else frame.aside  # what nothing else names, these may name
    one = [b for a, b in pairwise(frame.aside) if a.tag == "R" and a.said.lower() == "one"]
    told = replace(frame, parts=frame.parts | {"at3": (*frame.all("at3"), *one)})  # "I mean the one at nine"
    for noted, cost, places in _candidates(context, items, fits):
        at_odds = _misfit_beside(frame.op, beside, noted.entry)
        misfit = _misfit(told, noted, context) if says_which or one else at_odds
        if misfit < MISFIT - 1:  # one thing named that does not fit is one too many
            found.append(Target(noted, cost + misfit, places))
    return sorted(found, key=lambda target: target.cost)


def _candidates(
    context: Context, items: Sequence[Element], fits: Callable[[Stored], bool]
) -> Iterator[tuple[Noted, float, tuple[int, ...]]]:
    on_all = [{entry_id for entry_id, _ in element.on} for element in items]
    between = 0  # what cannot be meant does not make an entry less likely
    for rank, noted in enumerate(context.fitting(fits)):
        if any(noted.id not in on for on in on_all) or (items and not isinstance(noted.entry, Meal)):
            continue
        places = [_best_place(noted, element) for element in items]
        renamed = sum(_is_renamed(noted, *pair) for pair in zip(items, places, strict=True))
        age = _age_cost(noted, between, context, newest=rank == 0)
        yield noted, age + OTHER_NAME * renamed, tuple(places)
        between += 1


def _best_place(noted: Noted, element: Element) -> int:
    """Choose the item that a name fits best: the one with the fewest other words."""
    meal = noted.entry
    assert isinstance(meal, Meal)
    on = [place for entry_id, place in element.on if entry_id == noted.id]
    return min(on, key=lambda place: len(meal.items[place].name.split()))


def _is_renamed(noted: Noted, element: Element, place: int) -> bool:
    """Tell whether an item was noted under another name than the one said now."""
    meal = noted.entry
    assert isinstance(meal, Meal)
    item = meal.items[place]
    noted_as = {*make_key(item.name).split(), *make_key(item.said).split()}
    return not noted_as & set(make_key(element.said).split())


def _age_cost(noted: Noted, rank: int, context: Context, *, newest: bool) -> float:
    age = context.now - noted.touched_at
    cost = min(PER_RANK * rank + PER_HOUR * (age / timedelta(hours=1)), MOST_OLD)
    if newest and age <= timedelta(minutes=FRESH_MIN):
        cost += FRESH
    if context.pointed is not None:
        cost += POINTED if noted.id == context.pointed else NOT_POINTED
    return cost


def _misfit(frame: Frame, noted: Noted, context: Context) -> float:
    """Return what it costs that the slot, day, time or kind named does not fit an entry."""
    cost = 0.0
    parts = ("at", "at2", "at3", "to") if frame.op == "add" else ("at", "at2", "at3")
    for element in frame.all(*parts):
        if isinstance(element.piece, SlotWord):
            fits = _is_of_slot(noted.entry, element.piece)
            cost += (-1.0 if _is_recent(noted, context) else OTHER_DAY) if fits else MISFIT
        elif isinstance(element.piece, Moment):
            cost += _misfit_of_time(element.piece, noted.entry, context)
    for name in ("what", "obj"):
        kind = frame.first(name)
        if kind is not None and kind.tag in _KINDS:
            cost += _misfit_of_kind(kind, noted.entry)
    return cost


def _misfit_beside(op: str, elements: Sequence[Element], entry: Stored) -> float:
    """Return what it costs that a meal or a kind is named beside a change, and is not what is changed."""
    slots = any(isinstance(e.piece, SlotWord) and not _is_of_slot(entry, e.piece) for e in elements)
    named = elements if op in _OF_ALL_KINDS else ()
    kinds = any(e.tag in _KINDS and not isinstance(entry, _KINDS[e.tag]) for e in named)
    return MISFIT * (slots or kinds)


def _is_of_slot(entry: Stored, named: SlotWord) -> bool:
    return isinstance(entry, Meal) and entry.slot == named.slot


def _is_recent(noted: Noted, context: Context) -> bool:
    return context.now - noted.touched_at < RECENT


def _misfit_of_kind(element: Element, entry: Stored) -> float:
    if not isinstance(entry, _KINDS[element.tag]):
        return MISFIT * 2
    movement = find_movement([element.said.lower()]) if element.tag == "M" else None
    if movement is not None and isinstance(entry, Activity) and movement[0] not in entry.what:
        return 1.5
    return -1.0


def _misfit_of_time(moment: Moment, entry: Stored, context: Context) -> float:
    at = entry.from_at or entry.to_at if isinstance(entry, Sleep) else entry.at
    if at is None:
        return MISFIT
    local, today = at.astimezone(context.zone), context.local_now.date()
    cost = 0.0
    day = day_of(moment, today)
    if day is not None:
        night = moment.part in TAGS.evening and local.hour < 5 and local.date() == day + timedelta(days=1)
        cost += -1.0 if local.date() == day or night else MISFIT
    if moment.hour is not None:
        minutes = local.hour * 60 + local.minute
        off = min(abs(c.hour * 60 + c.minute - minutes) for c in clocks_of(moment))
        cost += -1.0 if off <= CLOSE_MIN else MISFIT
    elif moment.part and day is None:
        cost += -1.0 if _in_part(moment.part, local.hour) else MISFIT
    return cost


def _in_part(part: str, hour: int) -> bool:
    spans = {
        "morning": (4, 12),
        "afternoon": (12, 18),
        "evening": (16, 24),
        "night": (18, 28),
        "tonight": (16, 28),
    }
    first, end = spans.get(part, (0, 24))
    return first <= hour < end or first <= hour + 24 < end
