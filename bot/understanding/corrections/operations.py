"""What a change makes of an entry. Pure: the entry as it was goes in, the entry as it becomes comes out.

Each operation returns a `Correction` (with `target` and `after`), or None where it makes no sense of this
entry. `after` None means that the entry goes.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from bot.model.entries import (
    Activity,
    Correction,
    Feeling,
    Item,
    Meal,
    Reading,
    Sensor,
    Sleep,
    Slot,
    Stored,
    Sync,
)
from bot.model.units import to_mmol
from bot.understanding.context import Context
from bot.understanding.corrections.elements import Element, item_words
from bot.understanding.corrections.oddness import numbers_said
from bot.understanding.corrections.retiming import move, set_night
from bot.understanding.corrections.shapes import Frame
from bot.understanding.corrections.targets import Target
from bot.understanding.foods.own_table import scale
from bot.understanding.notes.notes import read_notes
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.instants import is_ahead
from bot.understanding.pieces.pieces import Amount, Moment, SlotWord
from bot.understanding.pieces.times import fold_times
from bot.understanding.states.readings import HIGHEST_MMOL, LOWEST_MMOL
from bot.understanding.words.movements import find_movement
from bot.understanding.words.tokens import read_tokens

COUNTED = frozenset(
    {"", "slice", "piece", "cup", "bowl", "glass", "spoon", "tbsp", "tsp", "scoop", "mug", "can"}
)
BARE_GRAMS = 15.0
"""A bare number from here on is grams or ml where its food was weighed, no count."""
LEAST_SHARE = 0.05
STILL_EATING = timedelta(minutes=90)
"""Later than that, more of the same is another meal."""


@dataclass(frozen=True, slots=True)
class Change:
    """What an operation works on: the frame, the target, the message's text and what surrounds it."""

    frame: Frame
    target: Target
    text: str
    context: Context

    @property
    def entry(self) -> Stored:
        """The entry as it was."""
        return self.target.noted.entry

    def done(self, what: str, after: Stored | None, items: Sequence[Item] = (), **more: object) -> Correction:
        """Return the correction that puts `after` in the place of the entry."""
        said = " ".join(self.text.split())
        fields = {"target": self.target.noted.id, "after": after, "items": tuple(items), "said": said} | more
        return Correction(what, **fields)  # type: ignore[arg-type]


def undo(change: Change) -> Correction | None:
    """Take the whole entry out; what names none is what was done last, whatever that was."""
    named = change.frame.all("at", "at2", "what") or change.context.pointed is not None
    return change.done("undo", None) if named else change.done("undo", None, target=None)


def remove(change: Change) -> Correction | None:
    """Take foods off a plate; a plate with nothing else on it goes as a whole."""
    meal, gone = change.entry, set(change.target.places)
    if not isinstance(meal, Meal) or not gone:
        return None
    rest = tuple(item for place, item in enumerate(meal.items) if place not in gone)
    after = replace(meal, items=rest) if rest or meal.extras else None
    return change.done("remove", after, [meal.items[place] for place in sorted(gone)])


def swap(change: Change) -> Correction | None:
    """Put another food in the place of one, in the same amount unless another was said."""
    meal = change.entry
    if not isinstance(meal, Meal):
        return None
    new_elements = change.frame.all("new", "other")
    places = change.target.places or _only_place(meal, new_elements, change)
    if not places:
        return None
    place = places[0]
    old = meal.items[place]
    new = _new_items(old, change)
    if not new or any(i.name == old.name and i.food == old.food and not i.stated for i in new):
        return None
    if len(new) == 1 and not new[0].stated:
        new = [_as_much(new[0], old)]
    rest = list(meal.items)
    rest[place : place + 1] = new
    dropped = {p for p in places[1:]}
    rest_kept = tuple(item for k, item in enumerate(rest) if not (k - len(new) + 1 in dropped and k > place))
    return change.done("amount", replace(meal, items=rest_kept), new, name=old.name)


def _only_place(meal: Meal, new: Sequence[Element], change: Change) -> tuple[int, ...]:
    """Find the food whose place another takes though it was not named: its kin, or the only one there is."""
    kin = [place for e in new for entry_id, place in e.on if entry_id == change.target.noted.id]
    if kin:
        return (kin[0],)
    if len(meal.items) == 1:
        return (0,)
    fresh = _items_of(_words(new, change.text), change.context)
    alike = [p for p, item in enumerate(meal.items) for f in fresh if _same_sort(item, f)]
    return (alike[0],) if len(set(alike)) == 1 else ()


def _same_sort(a: Item, b: Item) -> bool:
    return bool(a.food and b.food) and (a.food or "").split(",")[0] == (b.food or "").split(",")[0]


def _new_items(old: Item, change: Change) -> list[Item]:
    """Read the new food; a word for part of a name changes that part ("chicken" for a beef burrito)."""
    words = _words(change.frame.all("new", "other"), change.text)
    gone = change.frame.first("gone")
    named = old.name.lower().split()
    said = [] if gone is None else [w for w in gone.said.lower().split() if w in named]
    if gone is not None and said and len(said) < len(named) and named[-1] not in said:
        part = " ".join(words.split())
        whole = " ".join([part if w == said[0] else w for w in named if w not in said[1:]])
        items = _items_of(whole, change.context)
        if len(items) == 1 and items[0].food is not None:
            return items
    return _items_of(words, change.context)


def _as_much(new: Item, old: Item) -> Item:
    if not new.grams or not old.grams:
        return new
    scaled = scale(new, old.grams / new.grams)
    return replace(scaled, grams_low=old.grams_low, grams_high=old.grams_high, stated=old.stated)


def amount(change: Change) -> Correction | None:
    """Give a food another amount, or a movement another length."""
    much = change.frame.first("much")
    assert much is not None
    if not isinstance(much.piece, Amount):
        return None
    if isinstance(change.entry, Activity):
        minutes = much.piece.minutes
        if minutes is None and not much.piece.unit and much.piece.value >= 1:
            minutes = much.piece.value
        if minutes is None or not 0 < minutes <= 24 * 60:
            return None
        return change.done("amount", replace(change.entry, minutes=minutes), minutes=minutes)
    meal = change.entry
    if not isinstance(meal, Meal) or much.piece.minutes is not None:
        return None
    place = change.target.places[0] if change.target.places else _place_by_amount(meal, change)
    if place is None:
        return None
    new = weigh_as(meal.items[place], much, change)
    if new is None:
        return None
    items = (*meal.items[:place], new, *meal.items[place + 1 :])
    return change.done("amount", replace(meal, items=items), [new])


def _place_by_amount(meal: Meal, change: Change) -> int | None:
    """Find the food that an amount without a name is of: the only one, or the one said with the old amount."""
    if len(meal.items) == 1:
        return 0
    old = change.frame.first("old")
    if old is not None and isinstance(old.piece, Amount):
        said = [p for p, item in enumerate(meal.items) if old.piece.value in numbers_said(item)]
        return said[0] if len(said) == 1 else None
    asked = change.context.answering
    named = [p for p, item in enumerate(meal.items) if asked and asked.endswith(item.name)]
    if len(named) == 1:
        return named[0]
    much = change.frame.first("much")
    unit = much.piece.unit if much is not None and isinstance(much.piece, Amount) else ""
    alike = [p for p, item in enumerate(meal.items) if _was_measured(item, unit)]
    return alike[0] if len(alike) == 1 else None


def _was_measured(item: Item, unit: str) -> bool:
    """Tell whether a food was said in this unit; without one, whether it was counted."""
    if not item.stated:
        return False
    pieces = fold_amounts(read_tokens(item.said))
    amounts = [p for p in pieces if isinstance(p, Amount) and not p.article]
    return any(p.unit == unit or (not unit and p.unit in COUNTED) for p in amounts)


def weigh_as(item: Item, much: Element, change: Change) -> Item | None:
    """Return a food in another amount, a bare number in the unit that it was measured in."""
    words = _amount_words(item, much)
    weighed = _items_of(f"{words} {item.name}", change.context)
    if len(weighed) != 1 or weighed[0].food != item.food or not weighed[0].grams:
        weighed = _items_of(f"{words} {_counted_as(item)}", change.context)
    if len(weighed) != 1 or not weighed[0].grams:
        return None
    new = weighed[0]
    if new.food == item.food or item.nutrients is None or not item.grams:
        kept = replace(new, name=item.name)
        return replace(kept, stated=True)
    grown = scale(item, new.grams / item.grams)
    return replace(grown, grams_low=new.grams_low, grams_high=new.grams_high, stated=True, said=new.said)


def _amount_words(item: Item, much: Element) -> str:
    piece = much.piece
    assert isinstance(piece, Amount)
    if piece.unit or piece.size or not re.fullmatch(r"\d+(?:[.,]\d+)?", much.said.split()[-1]):
        bare = not piece.unit and not piece.size and not piece.vague
        unit = _unit_of(item) if bare and piece.value < BARE_GRAMS else ""
        return f"{much.said} {unit}".strip()
    if piece.value >= BARE_GRAMS:
        return f"{much.said} {'ml' if re.search(r'[0-9] ?ml', item.said) else 'g'}"
    return f"{much.said} {_unit_of(item)}".strip()


def _unit_of(item: Item) -> str:
    """Return the household unit that a food was counted in: "slices" of "2 slices rye toast"."""
    found = re.match(r"\W*(?:\d+(?:[.,]\d+)?|[a-z]+) ([a-z]+) (?:of )?", item.said.lower())
    if found is None or found[1] in item_words(item) - {"slice"} or found[1] in ("g", "ml", "x"):
        return ""
    return (
        found[1]
        if re.match(r"slice|cup|bowl|glass|spoon|tbsp|tsp|piece|handful|scoop|mug|can|tin|pint", found[1])
        else ""
    )


def _counted_as(item: Item) -> str:
    rest = re.sub(r"^\W*\d+(?:[.,]\d+)?\s*(?:g|ml|x)?\b\s*", "", item.said.lower())
    return rest or item.name


def rescale(change: Change) -> Correction | None:
    """Keep a share of one food, or of all that was on the plate."""
    meal = change.entry
    if isinstance(meal, Activity):
        share = _share(change)
        if share is None or meal.minutes is None:
            return None
        return change.done(
            "amount", replace(meal, minutes=meal.minutes * share), minutes=meal.minutes * share
        )
    if not isinstance(meal, Meal):
        return None
    share = _share(change)
    if share is None or not LEAST_SHARE <= share <= 4:
        return None
    places = set(change.target.places) or set(range(len(meal.items)))
    items = tuple(
        replace(scale(item, share), stated=True) if place in places else item
        for place, item in enumerate(meal.items)
    )
    return change.done("amount", replace(meal, items=items), [items[p] for p in sorted(places)])


def _share(change: Change) -> float | None:
    share, left = change.frame.first("share"), change.frame.first("left")
    if share is not None and isinstance(share.piece, Amount):
        return share.piece.value
    if left is not None and isinstance(left.piece, Amount):
        return 1 - left.piece.value
    return 0.5


def add(change: Change) -> Correction | None:
    """Put more on a plate: other foods, or more of what is there."""
    meal = change.entry
    if not isinstance(meal, Meal):
        return None
    more = change.frame.first("more")
    if more is not None or not change.frame.parts.get("new"):
        return _add_more(meal, change)
    words = _words(change.frame.parts["new"], change.text)
    new = _items_of(words, change.context)
    if not new:
        return None
    return change.done("add", replace(meal, items=meal.items + tuple(new)), new)


def _add_more(meal: Meal, change: Change) -> Correction | None:
    place = change.target.places[0] if change.target.places else (0 if len(meal.items) == 1 else None)
    age = change.context.now - change.target.noted.touched_at
    named = change.frame.all("at", "at2") or change.context.pointed is not None
    if place is None or (age > STILL_EATING and not named):
        return None
    item = meal.items[place]
    parts = change.frame.parts.get("more", ())
    much = next((e for e in parts if isinstance(e.piece, Amount)), None)
    if much is not None:
        extra = weigh_as(item, much, change)
    else:
        one = _items_of(f"1 {_unit_of(item)} {item.name}", change.context)
        counted = len(one) == 1 and one[0].food == item.food and bool(numbers_said(item))
        extra = one[0] if counted else item
    if extra is None or not item.grams:
        return None
    grown = replace(
        scale(item, (item.grams + extra.grams) / item.grams),
        grams_low=item.grams_low + extra.grams_low,
        grams_high=item.grams_high + extra.grams_high,
    )
    items = (*meal.items[:place], grown, *meal.items[place + 1 :])
    return change.done("add", replace(meal, items=items), [extra])


def retime(change: Change) -> Correction | str | None:
    """Move an entry to another time or day."""
    entry, frame, context = change.entry, change.frame, change.context
    if isinstance(entry, Sleep):
        night = set_night(entry, frame, context)
        return None if night is None else change.done("time", night, at=night.from_at or night.to_at)
    if frame.first("woke") or frame.first("abed"):
        return None
    by = frame.first("by")
    at: datetime | None
    if by is not None:
        minutes = by.piece.minutes if isinstance(by.piece, Amount) else None
        if minutes is None or entry.at is None:
            return None
        at = entry.at + timedelta(minutes=minutes) * (-1 if frame.first("before") else 1)
    else:
        moments = [e.piece for e in frame.all("to") if isinstance(e.piece, Moment)]
        at = move(entry, moments or _as_hour(frame), context)
    if at is None:
        return None
    if is_ahead(at, context.now):
        local = at.astimezone(context.zone)
        return f"{local:%H:%M} is still to come: when was it? Say it like “it was at 8:15”."
    slot = next((e.piece.slot for e in frame.all("to", "at", "at2") if isinstance(e.piece, SlotWord)), None)
    return _timed(change, at, slot)


def _as_hour(frame: Frame) -> list[Moment]:
    """Take a bare number for an hour: "6 not 5" about a meal at 5."""
    hour = frame.first("hour")
    if (
        hour is None
        or not isinstance(hour.piece, Amount)
        or hour.piece.unit
        or not 1 <= hour.piece.value <= 24
    ):
        return []
    folded = fold_times(read_tokens(f"at {hour.piece.value:g}"))
    return [piece for piece in folded if isinstance(piece, Moment)]


def _timed(change: Change, at: datetime, slot: Slot | None) -> Correction | None:
    entry = change.entry
    if isinstance(entry, Meal):
        after: Stored = replace(entry, at=at, timed="stated", slot=slot or entry.slot)
    elif isinstance(entry, Activity | Reading):
        after = replace(entry, at=at, timed="stated")
    elif isinstance(entry, Sync | Sensor | Feeling):
        after = replace(entry, at=at)
    else:
        return None
    return change.done("time", after, at=at)


def rename_slot(change: Change) -> Correction | None:
    """Call a meal by another name: a snack that was lunch."""
    to = change.frame.first("to")
    if not isinstance(change.entry, Meal) or to is None or not isinstance(to.piece, SlotWord):
        return None
    slot = to.piece.slot
    return change.done("slot", replace(change.entry, slot=slot), slot=slot)


def set_value(change: Change) -> Correction | None:
    """Give a typed reading another value."""
    value = change.frame.first("value")
    if not isinstance(change.entry, Reading) or value is None or not isinstance(value.piece, Amount):
        return None
    said = value.piece.value
    mmol = (
        said
        if LOWEST_MMOL <= said <= HIGHEST_MMOL and change.context.unit == "mmol/L"
        else to_mmol(said, "mg/dL")
    )
    if not LOWEST_MMOL <= mmol <= HIGHEST_MMOL:
        return None
    return change.done("amount", replace(change.entry, mmol=mmol))


def change_kind(change: Change) -> Correction | None:
    """Call a movement something else: a run that was a walk."""
    new = change.frame.first("new")
    if not isinstance(change.entry, Activity) or new is None:
        return None
    movement = find_movement(new.said.lower().split())
    if movement is None:
        return None
    return change.done(
        "amount", replace(change.entry, what=movement[0], effort=movement[1]), name=movement[0]
    )


def _words(elements: Sequence[Element], text: str) -> str:
    return text[elements[0].start : elements[-1].end] if elements else ""


def _items_of(text: str, context: Context) -> list[Item]:
    """Return the foods in some words, as a note would have them."""
    found = read_notes(text, context).entries
    return [item for entry in found if isinstance(entry, Meal) for item in entry.items]


def of_meal(entry: Stored) -> bool:
    """Tell whether an entry is a meal."""
    return isinstance(entry, Meal)


def _any(entry: Stored) -> bool:
    return True


@dataclass(frozen=True, slots=True)
class Operation:
    """How a frame's operation is done, which part names the foods it works on, and which entries it fits."""

    do: Callable[[Change], Correction | str | None]
    items: tuple[str, ...]
    fits: Callable[[Stored], bool]


def _has_length(entry: Stored) -> bool:
    return isinstance(entry, Meal | Activity)


OPERATIONS: dict[str, Operation] = {
    "undo": Operation(undo, (), _any),
    "remove": Operation(remove, ("gone",), of_meal),
    "swap": Operation(swap, ("gone",), of_meal),
    "amount": Operation(amount, ("item",), _has_length),
    "scale": Operation(rescale, ("item",), _has_length),
    "add": Operation(add, ("to", "more"), of_meal),
    "move": Operation(retime, ("obj",), _any),
    "slot": Operation(rename_slot, ("obj",), of_meal),
    "value": Operation(set_value, (), lambda entry: isinstance(entry, Reading)),
    "kind": Operation(change_kind, (), lambda entry: isinstance(entry, Activity)),
}
