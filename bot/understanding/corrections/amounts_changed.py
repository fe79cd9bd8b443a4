"""Changes of how much: another amount, a share of it, another length of a movement."""

import re
from dataclasses import replace
from functools import lru_cache

from bot.foodtable import FoodTable
from bot.foodtable.words import make_key
from bot.model.entries import Activity, Correction, Item, Meal, Stored
from bot.understanding.corrections.change import Change, items_of
from bot.understanding.corrections.element import Element
from bot.understanding.corrections.known_foods import item_words
from bot.understanding.corrections.oddness import numbers_said
from bot.understanding.corrections.parting import part_out
from bot.understanding.corrections.sharing import share_of
from bot.understanding.foods.categories import is_of
from bot.understanding.foods.own_table import scale
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.pieces import Amount
from bot.understanding.pieces.units import ROUGH_GRAMS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import read_tokens

BARE_GRAMS = 15.0
"""A bare number from here on is grams or ml where its food was weighed, no count."""
_MOST_TIMES = 4.0
"""A bare number up to so many times the old count is a count, too: "the dumplings were 15"."""
LEAST_SHARE = 0.05
_TARE = re.compile(
    r"\b(?:plate|bowl|dish|box|tub|pot|pan|container|lunchbox|tray|jar|mug|cup|glass)"
    r"(?: itself| alone| empty)?(?:\W*(?:is|was|weighs|weighed|weights|=|about|around|like|at|itself))+\W*$",
    re.IGNORECASE,
)
"""What food was weighed in, before how much that weighs by itself."""
_STANDS = re.compile(r"\W*(?:is|was|are|were|stays|still|remains) (?:right|correct|fine|ok|okay|good|true)\b")
_WEIGHED_DRY = re.compile(r"\b(?:weighed|was|were|is|of|in|g|grams?) (?:dry|uncooked|raw)\b", re.IGNORECASE)


def amount(change: Change) -> Correction | None:
    """Give a food another amount, or a movement another length."""
    change = part_out(change, "item", "of")
    much = change.frame.first("much")
    assert much is not None
    if not isinstance(much.piece, Amount):
        return None
    if much.piece.article and not much.piece.unit and change.frame.first("item") is None:
        return None  # "once a day"
    counted, sized = change.frame.first("counted"), change.frame.first("sized")
    if (counted and _is_size(much)) or (sized and not _is_size(sized)):
        return None  # "it was two slices, and thick"; but "less rice, about 120"
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
    place = change.target.places[0] if change.target.places else place_by_amount(meal, change)
    if place is None:
        return None
    item = meal.items[place]
    if (change.target.places and _is_of_part(item, change)) or _STANDS.match(change.text[much.end :]):
        return None
    new = _by_counts(item, change) or _without_tare(item, change) or weigh_as(item, much, change)
    if new is None or _is_only_part(new, item, change):
        return None
    items = (*meal.items[:place], new, *meal.items[place + 1 :])
    return change.done("amount", replace(meal, items=items), [new])


def _is_size(element: Element) -> bool:
    """Tell whether an amount is no more than large, thick or less."""
    piece = element.piece
    return isinstance(piece, Amount) and bool(piece.size) and not piece.unit


def _is_only_part(new: Item, item: Item, change: Change) -> bool:
    """Tell whether so little is rather of what is in a dish: 40 g "cheese" of a cheese sandwich."""
    named = next((e for e in change.frame.all("item", "of") if e.tag == "P"), None)
    words, said = item.name.lower().split(), set() if named is None else set(make_key(named.said).split())
    if not said or len(words) < 2 or said & set(make_key(words[-1]).split()):
        return False
    whole = set(make_key(item.name).split()) <= said or "%)" not in (item.food or "")
    return not whole and new.grams < item.grams / 2


def _by_counts(item: Item, change: Change) -> Item | None:
    """Read "two and not three" as two thirds of what three of it were."""
    much, old = change.frame.first("much"), change.frame.first("old")
    if much is None or old is None or not (isinstance(much.piece, Amount) and isinstance(old.piece, Amount)):
        return None
    counted = not much.piece.unit and not old.piece.unit and 0 < old.piece.value < BARE_GRAMS
    if not counted or old.piece.value not in numbers_said(item) or not 0 < much.piece.value < BARE_GRAMS:
        return None
    return replace(scale(item, much.piece.value / old.piece.value), stated=True)


def _is_of_part(item: Item, change: Change) -> bool:
    """Tell whether a food is named that only went into a dish: the eggs of "shakshuka with 2 eggs"."""
    named = next((e for e in change.frame.all("item", "of") if e.tag == "P"), None)
    if named is None or "%)" not in (item.food or ""):
        return False
    said, beside = set(make_key(named.said).split()), item.said.lower().partition(" with ")[2]
    of_name = item_words(replace(item, said="", food=None)) & said
    return not of_name and bool(said & set(make_key(beside).split()))


def _without_tare(item: Item, change: Change) -> Item | None:
    """Take off what it was weighed in: "weighed it with the plate, the plate is 150"."""
    much, text = change.frame.first("much"), change.text
    if much is None or not isinstance(much.piece, Amount) or not _TARE.search(text[: much.start]):
        return None
    unit = much.piece.unit or "g"
    if unit not in ROUGH_GRAMS or not item.stated or not item.grams:
        return None
    left = 1 - much.piece.value * ROUGH_GRAMS[unit] / item.grams
    return replace(scale(item, left), stated=True) if LEAST_SHARE <= left < 1 else None


def place_by_amount(meal: Meal, change: Change, part: str = "much") -> int | None:
    """Find the food that an amount without a name is of: the only one, or the one said with the old one."""
    if len(meal.items) == 1:
        return 0
    old = change.frame.first("old")
    if old is not None and isinstance(old.piece, Amount):
        said = [p for p, item in enumerate(meal.items) if old.piece.value in numbers_said(item)]
        return said[0] if len(said) == 1 else None
    much = next((e for e in change.frame.all(part) if e.tag == "A"), None)
    unit = much.piece.unit if much is not None and isinstance(much.piece, Amount) else ""
    alike = [p for p, item in enumerate(meal.items) if _was_measured(item, unit)]
    alike = alike or [p for p, item in enumerate(meal.items) if unit and unit in units_said(item.said)]
    asked = change.context.answering if part != "off" else ""
    named = [p for p, item in enumerate(meal.items) if asked and asked.endswith(item.name)]
    if len(named) == 1 and not (unit and alike):
        return named[0]
    if not alike and unit:
        alike = [p for p, item in enumerate(meal.items) if _comes_in(item, unit, change.context.table)]
    return alike[0] if len(alike) == 1 else None


def _comes_in(item: Item, unit: str, table: FoodTable) -> bool:
    """Tell whether a food is measured in this unit: bacon in rashers."""
    match = table.match(item.name)
    drunk = unit not in TAGS.of_drinks or is_of("drinkable", match)
    return (
        match is not None and drunk and unit not in TAGS.exact_units and table.weigh(match, unit) is not None
    )


def _was_measured(item: Item, unit: str) -> bool:
    """Tell whether a food was said in this unit; without one, whether it was counted."""
    if not item.stated:
        return False
    return any(said == unit or (not unit and said in TAGS.counted_changed) for said in units_said(item.said))


@lru_cache(maxsize=1024)
def units_said(said: str) -> tuple[str, ...]:
    """Return the units that a food was said in: "" for a count, nothing for an article by itself."""
    amounts = [p for p in fold_amounts(read_tokens(said)) if isinstance(p, Amount)]
    return tuple(p.unit for p in amounts if p.unit or not p.article)


def weigh_as(item: Item, much: Element, change: Change) -> Item | None:
    """Return a food in another amount, a bare number in the unit that it was measured in."""
    food = change.frame.first("item")
    counted = food is not None and 0 <= food.start - much.end <= 1 and isinstance(much.piece, Amount)
    words = much.said if counted else _amount_words(item, much, _cut_into(change.entry))
    dry = "dry " if _WEIGHED_DRY.search(change.text) else ""
    weighed = items_of(f"{words} {dry}{item.name}", change.context)
    if dry and len(weighed) == 1 and weighed[0].food is not None and weighed[0].grams:
        return replace(weighed[0], name=item.name, stated=True)
    if len(weighed) != 1 or weighed[0].food != item.food or not weighed[0].grams:
        weighed = items_of(f"{words} {_counted_as(item)}", change.context)
    if len(weighed) != 1 or not weighed[0].grams:
        return None
    new = weighed[0]
    if new.food == item.food or item.nutrients is None or not item.grams:
        kept = replace(new, name=item.name)
        return replace(kept, stated=True)
    grown = scale(item, new.grams / item.grams)
    return replace(grown, grams_low=new.grams_low, grams_high=new.grams_high, stated=True, said=new.said)


def _cut_into(entry: Stored) -> str:
    """Return what the only food of a meal was said to be cut into: "a large pizza, 8 slices"."""
    alone = isinstance(entry, Meal) and len(entry.items) == 1
    found = re.search(r"\d+ (slice|piece)s?\b", entry.said.lower()) if isinstance(entry, Meal) else None
    return found[1] if alone and found is not None else ""


def _amount_words(item: Item, much: Element, cut: str) -> str:
    piece = much.piece
    assert isinstance(piece, Amount)
    if piece.unit or piece.size or not re.fullmatch(r"\d+(?:[.,]\d+)?", much.said.split()[-1]):
        bare = not piece.unit and not piece.size and not piece.vague
        unit = (unit_of(item) or cut) if bare and piece.value < BARE_GRAMS else ""
        return f"{much.said} {unit}".strip()
    most = _MOST_TIMES * max(numbers_said(item), default=0.0)
    counted = item.stated and _was_measured(item, "") and piece.value <= most
    if piece.value >= BARE_GRAMS and not counted:
        return f"{much.said} {'ml' if re.search(r'[0-9] ?ml', item.said) else 'g'}"
    return f"{much.said} {unit_of(item) or cut}".strip()


def unit_of(item: Item) -> str:
    """Return the household unit that a food was counted in: "slices" of "2 slices rye toast"."""
    found = re.match(r"\W*(?:\d+(?:[.,]\d+)?|[a-z]+) ([a-z]+) (?:of )?", item.said.lower())
    found = found or re.search(r"\d+ ([a-z]+)$", item.said.lower())  # "large pizza, 8 slices"
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
    change = part_out(change, "item")
    meal = change.entry
    if isinstance(meal, Activity):
        share = share_of(change)
        if share is None or meal.minutes is None or not change.frame.whole:
            return None
        return change.done(
            "amount", replace(meal, minutes=meal.minutes * share), minutes=meal.minutes * share
        )
    if not isinstance(meal, Meal):
        return None
    if change.frame.first("total") is not None:
        return _part_of_total(meal, change)
    share = share_of(change)
    if share is None or not LEAST_SHARE <= share <= 4:
        return None
    said = change.frame.first("share")
    if not (change.target.places or change.frame.whole) and said is not None and said.start > 0:
        return None  # "the banana was only half" where there was none; "half a pizza" is asked about
    places = set(change.target.places) or set(range(len(meal.items)))
    items = tuple(
        replace(scale(item, share), stated=True) if place in places else item
        for place, item in enumerate(meal.items)
    )
    return change.done("amount", replace(meal, items=items), [items[p] for p in sorted(places)])


def _part_of_total(meal: Meal, change: Change) -> Correction | None:
    """Work out how much was eaten of a whole that is named: half of 400 g, 12 with 8 left."""
    total, part, rest = (change.frame.first(name) for name in ("total", "part", "rest"))
    place = change.target.places[0] if change.target.places else place_by_amount(meal, change, "total")
    if total is None or not isinstance(total.piece, Amount) or place is None:
        return None
    whole = total.piece
    if part is not None:
        share = part.piece.value if isinstance(part.piece, Amount) else 1.0
        if not LEAST_SHARE <= share < 1 or whole.unit not in TAGS.exact_units:
            return None
        eaten = whole.value * share
    else:
        left = rest.piece if rest is not None else None
        if not isinstance(left, Amount) or left.minutes is not None or left.unit not in ("", whole.unit):
            return None
        eaten = whole.value - left.value
    if eaten <= 0:
        return None
    words = f"{eaten:g} {whole.unit}".strip()
    new = weigh_as(meal.items[place], replace(total, said=words, piece=replace(whole, value=eaten)), change)
    if new is None:
        return None
    items = (*meal.items[:place], new, *meal.items[place + 1 :])
    return change.done("amount", replace(meal, items=items), [new])
