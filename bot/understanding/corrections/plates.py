"""Changes of what is on a plate: taken off, swapped, added, or the whole entry taken out."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.model.entries import (
    Correction,
    Item,
    Meal,
)
from bot.understanding.corrections.amounts_changed import place_by_amount, unit_of, weigh_as
from bot.understanding.corrections.change import Change, extras_of, items_of, words_of
from bot.understanding.corrections.elements import Element
from bot.understanding.corrections.oddness import numbers_said
from bot.understanding.foods.categories import are_kin
from bot.understanding.foods.own_table import scale
from bot.understanding.pieces.pieces import Amount

WHOLE_PLATES = frozenset(["plate", "plateful", "portion", "serving", "helping", "round", "lot", "go", "dish"])
"""What a second one of is all of it again."""
_JOINS = frozenset({"with", "and", "on", "in", "n", "&"})
"""What a dish of several foods has in its name: "rice and curry"."""
_WEIGHED = re.compile(r"\W*\d+(?:[.,]\d+)?\s*(?:g|ml)\b")
STILL_EATING = timedelta(minutes=90)
"""Later than that, more of the same is another meal."""


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
    fresh = items_of(words_of(new, change.text), change.context)
    table = change.context.table
    alike = [p for p, item in enumerate(meal.items) for f in fresh if _same_sort(item, f)] or [
        p
        for p, item in enumerate(meal.items)
        for f in fresh
        if are_kin(table.match(item.name), table.match(f.name))
    ]
    return (alike[0],) if len(set(alike)) == 1 else ()


def _same_sort(a: Item, b: Item) -> bool:
    return bool(a.food and b.food) and (a.food or "").split(",")[0] == (b.food or "").split(",")[0]


def _new_items(old: Item, change: Change) -> list[Item]:
    """Read the new food; a word for part of a name changes that part ("chicken" for a beef burrito)."""
    words = words_of(change.frame.all("new", "other"), change.text)
    gone, kind = change.frame.first("gone"), change.frame.first("kind")
    named = old.name.lower().split()
    if gone is not None and kind is not None:
        told = f"{kind.said} {gone.said}"
        whole, part = old.name.lower(), gone.said.lower()
        of_more = bool(_JOINS & set(named)) and part in whole
        return items_of(whole.replace(part, told) if of_more else told, change.context)
    said = [] if gone is None else [w for w in gone.said.lower().split() if w in named]
    if gone is not None and said and len(said) < len(named) and named[-1] not in said:
        part = " ".join(words.split())
        whole = " ".join([part if w == said[0] else w for w in named if w not in said[1:]])
        items = items_of(whole, change.context)
        if len(items) == 1 and items[0].food is not None:
            return items
    return items_of(words, change.context)


def _as_much(new: Item, old: Item) -> Item:
    if not new.grams or not old.grams:
        return new
    scaled = scale(new, old.grams / new.grams)
    return replace(scaled, grams_low=old.grams_low, grams_high=old.grams_high, stated=old.stated)


def add(change: Change) -> Correction | None:
    """Put more on a plate: other foods, or more of what is there."""
    meal = change.entry
    if not isinstance(meal, Meal):
        return None
    more = change.frame.first("more")
    if more is not None or not change.frame.parts.get("new"):
        return _add_more(meal, change)
    words = words_of(change.frame.parts["new"], change.text)
    new, extras = items_of(words, change.context), extras_of(words, change.context)
    known = {item.food for item in meal.items if item.food is not None}
    if (not new and not extras) or (new and all(item.food in known for item in new)):
        return None  # what stands there already is not had twice for being named again
    after = replace(meal, items=meal.items + tuple(new), extras=meal.extras + tuple(extras))
    return change.done("add", after, new)


def order(change: Change) -> Correction | None:
    """Put what was eaten first before the rest of the plate, or before the food that is named."""
    meal, frame = change.entry, change.frame
    if not isinstance(meal, Meal) or len(meal.items) < 2:
        return None
    n_first, n_then = len(frame.all("first")), len(frame.all("then"))
    places = change.target.places
    first, then, last = places[:n_first], places[n_first : n_first + n_then], places[n_first + n_then :]
    rest = [place for place in range(len(meal.items)) if place not in {*first, *last}]
    start = min((rest.index(place) for place in then if place in rest), default=0)
    eaten = [*rest[:start], *first, *rest[start:], *last]
    items = tuple(meal.items[place] for place in eaten)
    return change.done("order", replace(meal, items=items, eaten_in_order=True), items[:1])


def _is_whole_plate(change: Change) -> bool:
    """Tell whether more is of all that is on the plate: "another round of that"."""
    frame = change.frame
    if change.target.places or any(e.tag in "PK" for e in frame.all("more")):
        return False
    amounts = [e for e in frame.all("more") if isinstance(e.piece, Amount)]
    whole = bool(WHOLE_PLATES & {w.rstrip("s") for e in amounts for w in e.said.lower().split()})
    return whole or (frame.first("again") is not None and not amounts)


def _add_more(meal: Meal, change: Change) -> Correction | None:
    place = change.target.places[0] if change.target.places else place_by_amount(meal, change, "more")
    age = change.context.now - change.target.noted.touched_at
    named = change.frame.all("at", "at2") or change.context.pointed is not None
    if age > STILL_EATING and not named:
        return None
    if _is_whole_plate(change):
        again = tuple(scale(item, 2.0) for item in meal.items)
        return change.done("add", replace(meal, items=again), meal.items)
    if place is None:
        return None
    item = meal.items[place]
    parts = change.frame.parts.get("more", ())
    much = next((e for e in parts if isinstance(e.piece, Amount)), None)
    if much is not None:
        extra = weigh_as(item, much, change)
    else:
        one = items_of(f"1 {unit_of(item)} {item.name}", change.context)
        counted = len(one) == 1 and one[0].food == item.food and bool(numbers_said(item))
        counted = counted and not _WEIGHED.match(item.said.lower())
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
