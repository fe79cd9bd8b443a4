"""Changes of what is on a plate: taken off, swapped, added, or the whole entry taken out."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.foodtable import FoodTable
from bot.foodtable.words import make_key
from bot.model.entries import (
    Correction,
    Item,
    Meal,
)
from bot.understanding.corrections.amounts_changed import place_by_amount, unit_of, units_said, weigh_as
from bot.understanding.corrections.change import Change, extras_of, items_of, slot_beside, words_of
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.oddness import numbers_said
from bot.understanding.corrections.parting import names_of_parts
from bot.understanding.foods.categories import are_kin, is_of
from bot.understanding.foods.own_table import scale
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import read_tokens

_WEIGHED = re.compile(r"\W*\d+(?:[.,]\d+)?\s*(?:g|ml)\b")
MOST_OF_KIND, UNSURE, SURELY = 2, 0.6, 0.9
"""How many words may say of which kind a food was, and how sure the whole must be known."""
STILL_EATING = timedelta(minutes=90)
"""Later than that, more of the same is another meal."""


def remove(change: Change) -> Correction | None:
    """Take foods off a plate; a plate with nothing else on it goes as a whole."""
    meal, gone = change.entry, set(change.target.places)
    if not isinstance(meal, Meal) or not gone:
        return None
    if change.frame.first("absent") is not None:
        return change.done("remove", meal)  # "no butter on the scone": none was noted
    named = [e for e in change.frame.all("gone") if e.tag in "PK" and e.on]
    of = list(zip(named, change.target.places, strict=False))
    table, alone = change.context.table, len(meal.items) == 1
    of_name = [(e, p) for e, p in of if not (alone and table.match(e.said) is None)]  # "no shake"
    if any(is_aside(meal.items[place], element, table) for element, place in of_name):
        return None  # "not pita" of a souvlaki that was said to come with it
    if any(e.tag == "K" and _is_another(meal.items[place], e, table) for e, place in of):
        return None
    left = {place: _without(meal.items[place], element, change) for element, place in of}
    kept = [left.get(k, []) if k in gone else [item] for k, item in enumerate(meal.items)]
    rest = tuple(item for items in kept for item in items)
    after = replace(meal, items=rest) if rest or meal.extras else None
    if len(gone) == 1 and (new := next(filter(None, left.values()), None)):
        return change.done("amount", after, new, name=meal.items[min(gone)].name)  # of a dish a part stays
    return change.done("remove", after, [meal.items[place] for place in sorted(gone)])


def _without(item: Item, gone: Element, change: Change) -> list[Item]:
    """Return what is left of a dish of several foods without one of them: the curry of "rice and curry"."""
    parts = names_of_parts(item.name)
    named, left = set(make_key(gone.said).split()), list[str]()
    for part in parts:
        kept = [word for word in part.split() if make_key(word) not in named]
        whole = len(kept) == len(part.split())
        if kept and (whole or not left):
            left.append(" ".join(kept))
        elif kept:
            left[-1] += f" {' '.join(kept)}"  # ham and cheese sandwich without its cheese
    changed = len(parts) > 1 and left and ", ".join(left) != ", ".join(parts)
    return items_of(", ".join(left), change.context) if changed and not item.stated else []


def _is_another(item: Item, element: Element, table: FoodTable) -> bool:
    """Tell whether words name another food of the same sort: "no apple juice", where orange juice stands."""
    said, name = (set(make_key(words).split()) for words in (element.said, item.name))
    match = table.match(element.said) if said - name and name - said else None
    return match is not None and match.food.description != item.food


def is_aside(item: Item, element: Element, table: FoodTable) -> bool:
    """Tell whether words are no name of a food, but its kind or what it came with: "verdes", "pita"."""
    said, match = set(make_key(element.said).split()), table.match(element.said)
    name, sort = make_key(item.name).split(), make_key((item.food or "").split(",")[0]).split()
    sort = sort if "%)" not in (item.food or "") else []  # of a dish, that is only its first part
    if item.food is None or said & set(sort) or _is_whole(element.said, item, table):
        return False
    if said & set(name):
        return match is None and said != set(name)
    return match is None or not set(make_key(match.name).split()) & set(name)  # "chiken" of a chicken burger


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
    being = change.frame.first("being") is not None
    guessed = bool(new) and new[0].stated and (new[0].food is None or (being and new[0].sure < SURELY))
    if guessed:
        return None  # "the pandesal was 4 pala": rather four of it
    if any(_is_only_kind(fresh, old, change) for fresh in new):
        return None
    if not new or any(i.name == old.name and i.food == old.food and not i.stated for i in new):
        return None
    gone = change.frame.first("gone")
    beside = gone is not None and is_aside(old, gone, change.context.table)
    if gone is not None and beside and make_key(gone.said) not in make_key(old.name):
        new = [old, *new]  # "not pita, it was with rice" of a souvlaki
    if len(new) == 1 and not new[0].stated:
        new = [as_much(new[0], old, change)]
    rest = list(meal.items)
    rest[place : place + 1] = new
    dropped = {p for p in places[1:]}
    rest_kept = tuple(item for k, item in enumerate(rest) if not (k - len(new) + 1 in dropped and k > place))
    return change.done("amount", replace(meal, items=rest_kept), new, name=old.name)


def _is_only_kind(new: Item, old: Item, change: Change) -> bool:
    """Tell whether words say only of which kind a part of a dish was: "brown rice" of chicken rice."""
    table, said, named = change.context.table, new.name.lower().split(), old.name.lower().split()
    if change.frame.first("gone") is not None or len(said) < 2 or len(named) < 2 or said[-1] != named[-1]:
        return False
    kinds, parts = ([w for w in words[:-1] if table.starts([w])] for words in (said, named))
    return bool(parts) and not kinds


def _only_place(meal: Meal, new: Sequence[Element], change: Change) -> tuple[int, ...]:
    """Find the food whose place another takes though it was not named: its kin, or the only one there is."""
    kin = [place for e in new for entry_id, place in e.on if entry_id == change.target.noted.id]
    if kin:
        return (kin[0],)
    if len(meal.items) == 1:
        return (0,)
    fresh = items_of(words_of(new, change.text), change.context)
    table = change.context.table
    words = words_of(new, change.text)
    alike = (
        [p for p, item in enumerate(meal.items) for f in fresh if _same_sort(item, f)]
        or [
            p
            for p, item in enumerate(meal.items)
            for f in fresh
            if are_kin(table.match(item.name), table.match(f.name))
        ]
        or [p for p, item in enumerate(meal.items) if _as_kind(words, item, change) is not None]
        or [p for p, item in enumerate(meal.items) for f in fresh if _of_category(item, f, table)]
    )
    return (alike[0],) if len(set(alike)) == 1 else ()


def _same_sort(a: Item, b: Item) -> bool:
    return bool(a.food and b.food) and (a.food or "").split(",")[0] == (b.food or "").split(",")[0]


def _of_category(a: Item, b: Item, table: FoodTable) -> bool:
    """Tell whether two foods are of one sort of the table: pancakes and waffles."""
    one, two = table.match(a.name), table.match(b.name)
    return one is not None and two is not None and one.food.category == two.food.category


def _new_items(old: Item, change: Change) -> list[Item]:
    """Read the new food; a word for part of a name changes that part ("chicken" for a beef burrito)."""
    words = words_of(change.frame.all("new", "other"), change.text)
    gone, kind = change.frame.first("gone"), change.frame.first("kind")
    named = old.name.lower().split()
    table = change.context.table
    if gone is not None and kind is not None:
        return _of_kind(kind.said.lower(), gone.said.lower(), old, change)
    if is_of("lies_on_bread", table.match(old.name)) and is_of("bread", table.match(words)):
        return [replace(old, name=f"{old.name.split(' on ')[0]} on {words.lower()}")]  # a sandwich still
    behind = gone.said.lower() if gone is not None else (words.lower().split() or [""])[-1]
    if "with" in named and set(behind.split()) <= set(named[named.index("with") + 1 :]):
        return _with_another(words, behind, old, change)
    if gone is None or change.frame.first("being") is not None:
        of_kind = _as_kind(words, old, change)
        if of_kind is not None:
            return [of_kind]
        if (
            gone is not None
            and gone.said.lower() == named[-1]
            and len(names_of_parts(old.name)) == 1 < len(named)
        ):
            return _of_parts(words, old, change)
    if gone is not None and any(e.tag == "y" for e in change.frame.all("other")):
        return [replace(old, name=old.name.lower().replace(gone.said.lower(), words.lower()))]
    if gone is not None and _is_whole(gone.said, old, table):
        return items_of(words, change.context)
    said = [] if gone is None else [w for w in gone.said.lower().split() if w in named]
    if gone is not None and said and len(said) < len(named) and named[-1] not in said:
        part = " ".join(words.split())
        whole = " ".join([part if w == said[0] else w for w in named if w not in said[1:]])
        items = items_of(whole, change.context)
        if len(items) == 1 and items[0].food is not None:
            return items
    left = [] if gone is None else _without(old, gone, change)  # the rice of "rice and beans"
    return [*left, *items_of(words, change.context)]


def _is_whole(said: str, item: Item, table: FoodTable) -> bool:
    """Tell whether part of a name means the food itself: "foul" of foul medames."""
    match = table.match(said)
    return match is not None and match.food.description == item.food


def _of_kind(kind: str, part: str, old: Item, change: Change) -> list[Item]:
    """Return a food, or the part of a dish that is named, as the kind that it was: brown rice and curry."""
    table, whole, told = change.context.table, old.name.lower(), f"{kind} {part}"
    if (
        whole.endswith(f" {part}")
        and is_of("lies_on_bread", table.match(whole))
        and is_of("bread", table.match(told))
    ):
        return [replace(old, name=f"{kind} {whole}")]  # a bacon roll whose roll was wholemeal
    of_more = bool(TAGS.joins_parting & set(whole.split())) and part in whole
    counts = numbers_said(old) if old.stated and not _WEIGHED.match(old.said.lower()) else set()
    if len(counts) == 1 and not of_more and not unit_of(old):  # "small corn ones", of three
        return items_of(f"{min(counts):g} {told}", change.context)
    return items_of(whole.replace(part, told) if of_more else told, change.context)


def _with_another(words: str, gone: str, old: Item, change: Change) -> list[Item]:
    """Put another food behind "with": coffee with oat milk; nothing where no such thing is known."""
    said = words.lower().split()
    for whole in (f"{words} {gone}", words):
        name = old.name.lower().replace(gone, " ".join(dict.fromkeys(whole.lower().split())))
        items = items_of(name, change.context) if said else []
        if len(items) == 1 and items[0].food is not None and not items[0].stated and items[0].sure > UNSURE:
            return [replace(_scaled_to(items[0], old), name=name)]
    return []


def _as_kind(words: str, old: Item, change: Change) -> Item | None:
    """Read a word as the kind of a food: "it was chicken" of a beef burrito, "the flat white was soy"."""
    said, named = words.lower().split(), old.name.lower().split()
    if len(said) > MOST_OF_KIND or not said or set(said) & set(named):
        return None
    # What it was made of goes ("beef"), unless the whole of the name is one thing ("flat white").
    for whole in ([*said, named[-1]], [*said, *named]):
        table, name = change.context.table, " ".join(whole)
        items = items_of(name, change.context) if table.starts(whole) == len(whole) else []
        if len(items) == 1 and items[0].food is not None and not items[0].stated and items[0].sure > UNSURE:
            return replace(_scaled_to(items[0], old), name=name)
    return None


def _of_parts(words: str, old: Item, change: Change) -> list[Item]:
    """Return what a ham roll that "was cheese" was; one that "was toast" is no roll any more."""
    table, new = change.context.table, items_of(words, change.context)
    if words.lower().split()[-1:] == old.name.lower().split()[-1:]:
        return new  # "the juice was apple juice"
    whole = items_of(f"{words} {old.name.split()[-1]}", change.context)
    alike = len(new) == 1 and are_kin(table.match(new[0].name), table.match(old.name.split()[-1]))
    return new if alike or len(whole) < 2 or any(item.food is None for item in whole) else whole


def as_much(new: Item, old: Item, change: Change) -> Item:
    """Return the new food in the amount of the old one: as weighed, as many, or a portion of its own."""
    table = change.context.table
    alike = are_kin(table.match(new.name), table.match(old.name))
    amounts = [p for p in fold_amounts(read_tokens(old.said)) if isinstance(p, Amount)]
    near = bool(new.grams and old.grams) and 0.5 <= new.grams / old.grams <= 2  # an espresso is no latte
    if (alike and (near or old.stated)) or (old.stated and any(p.unit in TAGS.exact_units for p in amounts)):
        return _scaled_to(new, old)
    if not old.stated or len(amounts) != 1 or amounts[0].article or amounts[0].share:
        return new
    counted = items_of(f"{old.said[amounts[0].start : amounts[0].end]} {new.name}", change.context)
    return counted[0] if len(counted) == 1 and counted[0].food == new.food else new


def _scaled_to(new: Item, old: Item) -> Item:
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
    words, much = words_of(change.frame.parts["new"], change.text), change.frame.first("much")
    words = words if much is None else f"{much.said} {words}"
    by = change.frame.first("by")
    if by is not None and by.said.lower() in TAGS.withs_neighbours:
        made = _made_with(meal, words, change) or _put_into(meal, words, change)
        if made is not None:
            return made
    if change.frame.first("to") is not None and (into := _put_into(meal, words, change)) is not None:
        return into
    if by is not None and by.tag == "t":
        return None  # "it was with oat milk" of nothing that has any in it
    new, extras = _beside(meal, words, change), extras_of(words, change.context)
    known = {item.food for item in meal.items if item.food is not None}
    if (not new and not extras) or (new and all(item.food in known for item in new)):
        return None  # what stands there already is not had twice for being named again
    slot = slot_beside(words, change.context) if meal.slot == "drink" else meal.slot
    after = replace(meal, items=meal.items + tuple(new), extras=meal.extras + tuple(extras), slot=slot)
    return change.done("add", after, new)


def _made_with(meal: Meal, words: str, change: Change) -> Correction | None:
    """Read what the only food was made with as part of it: 3 eggs of an omelette, oat milk in a latte."""
    if len(meal.items) != 1:
        return None
    old, context = meal.items[0], change.context
    whole, apart = items_of(f"{old.said or old.name} with {words}", context), items_of(words, context)
    if not whole or len(whole) > len(apart) + 1 or any(item.food is None for item in whole):
        return None
    if (old.grams or 0.0) / 2 > sum(item.grams or 0.0 for item in whole):
        return None  # a shake is more than its powder
    if len(whole) > len(apart):
        return change.done("add", replace(meal, items=(old, *whole[1:])), whole[1:])
    return change.done("amount", replace(meal, items=tuple(whole)), whole, name=old.name)


def _put_into(meal: Meal, words: str, change: Change) -> Correction | None:
    """Read what is had in one food of a plate as that food with it: milk in the coffee beside a cake."""
    context, places = change.context, change.target.places[:1] or range(len(meal.items))
    alone = items_of(words, context)
    made, rivals = [], 0
    for place in places:
        old = meal.items[place]
        whole = items_of(f"{old.name} with {words}", context)
        if len(whole) == 1 and whole[0].food not in (None, old.food, *(item.food for item in alone)):
            made.append((place, old, _scaled_to(whole[0], old)))
        rivals += [item.grams for item in whole[1:]] != [item.grams for item in alone]
    if len(made) != 1 or rivals > 1:
        return None  # milk goes over cereal, too
    place, old, new = made[0]
    after = replace(meal, items=(*meal.items[:place], new, *meal.items[place + 1 :]))
    return change.done("amount", after, [new], name=old.name)


def _beside(meal: Meal, words: str, change: Change) -> list[Item]:
    """Read what is put on a plate beside the food that it goes into: milk in the tea is a splash."""
    new = items_of(words, change.context)
    for place in change.target.places[:1]:
        both = items_of(f"{meal.items[place].name} with {words}", change.context)
        if len(both) == len(new) + 1 and [i.food for i in both[1:]] == [i.food for i in new]:
            return both[1:]
    return new


def _is_whole_plate(change: Change) -> bool:
    """Tell whether more is of all that is on the plate: "another round of that"."""
    frame = change.frame
    if change.target.places or any(e.tag in "PK" for e in frame.all("more")):
        return False
    amounts = [e for e in frame.all("more") if isinstance(e.piece, Amount)]
    whole = bool(TAGS.whole_plates & {w.rstrip("s") for e in amounts for w in e.said.lower().split()})
    return whole or (frame.first("again") is not None and not amounts)


def _add_more(meal: Meal, change: Change) -> Correction | None:
    place = change.target.places[0] if change.target.places else place_by_amount(meal, change, "more")
    age = change.context.now - change.target.noted.touched_at
    named = change.frame.all("at", "at2") or change.context.pointed is not None
    if age > STILL_EATING and not named:
        return None
    if _is_whole_plate(change) and (len(meal.items) != 1 or not units_said(meal.items[0].said)):
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
        unit = unit_of(item) or next(iter(units_said(item.said)), "")
        one = items_of(f"1 {unit} {item.name}", change.context)
        counted = len(one) == 1 and one[0].food == item.food and bool(unit or numbers_said(item))
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
