"""Words and amounts that are no food of their own: they complete the one said before them."""

from dataclasses import replace

from bot.foodtable import FoodTable
from bot.understanding.foods.categories import is_cereal, is_of
from bot.understanding.foods.remarks import scale
from bot.understanding.foods.said import Said, is_measured
from bot.understanding.foods.weighing import size_of_inches
from bot.understanding.pieces.pieces import Amount
from bot.understanding.pieces.units import ROUGH_GRAMS
from bot.understanding.words.lexicon import TAGS

LEAST_OF_DISH = 80.0
"""Grams from which on an amount behind "stew with sausage" is that of the dish; no source."""
SURE_KIND = 0.9
_ON_TOP = ("goes_into_drinks", "spread", "fruit", "topping")
_MEASURES = TAGS.exact_units | TAGS.volume_units


def name_by_unit(said: Said) -> None:
    """Name what only its unit tells: "2 slices wholemeal" are of bread, "two rashers" are bacon."""
    if "on" in said.leads and said.words and set(said.words) <= TAGS.breads | {"wheat", "rye", "sourdough"}:
        said.words.append("bread")
    if said.amount is None:
        return
    if said.amount.unit == "slice" and said.words and set(said.words) <= TAGS.breads | {"toasted"}:
        said.words.append("bread")
    elif said.amount.unit in ("glass", "cup", "mug", "bottle", "pint") and said.words == ["squash"]:
        said.words.insert(0, "fruit")
    elif said.amount.unit == "pint" and is_measured(said) and not (said.words or said.inside):
        said.words.append("beer")
    elif said.amount.unit == "scoop" and said.words == ["protein"]:
        said.words.append("powder")
    elif said.amount.unit == "rasher" and not said.words:
        said.words.append("bacon")
    elif said.amount.unit in ("glass", "bottle") and len(said.words) == 1 and set(said.words) <= TAGS.wines:
        said.words.append("wine")


def turn_round(said: Said, table: FoodTable) -> None:
    """Turn "juice orange" the English way round; count the balls of "2 balls banku", "one wrap of fufu"."""
    first, *rest = said.words
    several = said.amount is not None and not said.amount.unit and said.amount.value > 1
    shape = _SHAPES.get(first.removesuffix("s"))
    if said.amount is not None and shape and rest and table.starts(rest) == len(rest):
        match = table.match(" ".join(rest))
        counted = not said.amount.unit and match is not None and table.weigh(match, shape) is not None
        if counted or several:
            said.words, said.amount = rest, replace(said.amount, unit=shape if counted else "")
            return
    for head in (1, 2):
        turned = [*said.words[head:], *said.words[:head]]
        kind = " ".join(said.words[:head]) in TAGS.kinds_first and said.words[head:] != ["milk"]
        if kind and table.starts(said.words) < len(turned) == table.starts(turned):
            said.words = turned
            return


def complete(said: Said, last: Said | None, table: FoodTable, *, beside: bool) -> bool:
    """Add an amount or a manner by itself to the food before it; tell whether that was all it is.

    beside: the food before stands in the same clause
    """
    words = set(said.words)
    if (
        said.amount is not None
        and words
        and words <= TAGS.nutrients
        and said.amount.unit == "g"
        and last is not None
    ):
        last.end = max(last.end, said.end)
        return True
    apart = said.inside or (said.amount is None and not said.leads & TAGS.goes_on)
    if apart and not beside and last is not None and words and words <= TAGS.origins:
        last.amount, last.end = last.amount or said.amount, max(last.end, said.end)
        return True  # "fish pie (ready meal, 400 g)", "pie, shop bought"
    if words and words <= TAGS.milks and ("with" in said.leads or (last and is_cereal([last]))):
        return False  # "bran flakes, semi skimmed"
    if said.inside and not beside and said.amount is not None and words and words <= TAGS.manner:
        return _complete_both(said, last, words, table)  # "potatoes (200 g boiled)"
    if _only_tells_kind(said, last, table) or _counts_shapes(said, last, table):
        return True
    if said.amount is not None and words <= TAGS.about_it:
        if last is not None and _is_of_dish(said.amount, last, table):
            last = last.whole  # "lentil stew with sausage, 400 g"
        if last is not None:
            last.amount = joined(_of_all(said, last), last.amount, words) or last.amount
            last.end = max(last.end, said.end)
        return True
    if not words:
        return True
    if (
        last is not None
        and last.amount is not None
        and said.amount is not None
        and words <= TAGS.manner
        and said.amount.unit in _MEASURES
    ):
        return _complete_both(said, last, words, table)  # "a plate of pasta, maybe 300 g cooked"
    if (
        last is None
        or not words <= TAGS.manner
        or (said.amount is not None) != (beside and last.amount is None)
    ):
        return False
    if beside and said.amount is None and (len(words) == 1 or table.match(said.name) is not None):
        return False
    _name_manner(last, said.words, table)
    last.amount = said.amount or last.amount
    last.end = max(last.end, said.end)
    return True


def _of_all(said: Said, last: Said) -> Amount:
    """Take "(whole bag 200 g)" behind half a bag for what all of it weighs."""
    assert said.amount is not None
    old = last.amount
    part = old is not None and old.unit in TAGS.holders_completing | {"sachet"} and old.value < 1
    return replace(said.amount, held=said.amount.held or (part and bool(said.inside)))


def _only_tells_kind(said: Said, last: Said | None, table: FoodTable) -> bool:
    """Read "the sugar free one" as what the food before it was."""
    amount = said.amount
    if last is None or (amount is not None and not amount.article) or len(said.words) < 2:
        return False
    words = said.words[:-1] if said.words[-1] in TAGS.kinds else said.words
    if words is said.words and not set(words) <= TAGS.said_of_kind:
        return False  # "energy drink 500 ml, sugar free"
    match = table.match(" ".join([*words, *last.words]))
    if match is not None and match.sure >= SURE_KIND:
        last.match, last.words = match, [*words, *last.words]
    last.end = max(last.end, said.end)
    return True


_SHAPES = {"wrap": "wrap", "roll": "roll"} | dict.fromkeys(TAGS.shapes, "piece")


def _counts_shapes(said: Said, last: Said | None, table: FoodTable) -> bool:
    """Read "moi moi, 2 wraps" and "banku two balls" as a count of what comes so."""
    if last is None or last.match is None or said.amount is None or said.amount.unit or len(said.words) != 1:
        return False
    unit = _SHAPES.get(said.words[0].removesuffix("s"))
    several = said.amount.value > 1 and said.words[0].endswith("s")
    if unit is not None and several and table.weigh(last.match, unit) is None:
        unit = "piece"  # "sarma, 3 rolls"
    if unit is None or table.weigh(last.match, unit) is None or (unit == "piece" and last.amount):
        return False
    last.amount, last.end = replace(said.amount, unit=unit, article=False), max(last.end, said.end)
    return True


def holds(whole: Said, part: Said) -> bool:
    """Tell whether one food is in the other, so that an amount behind both is of the whole."""
    milky = is_of("tea_or_coffee", whole.match) and is_of("milk", part.match)
    dish = whole.match is not None and is_of("dish", whole.match)
    return is_of("plateful", whole.match) or is_of("mash", whole.match) or milky or dish


def _is_of_dish(amount: Amount, last: Said, table: FoodTable) -> bool:
    """Tell whether an amount behind what a dish was said to be with is that of the whole dish."""
    whole = last.whole
    if whole is None or last.amount is not None or not (whole.amount is None or whole.amount.article):
        return False
    if not amount.unit and is_of("spread", last.match):  # "crumpets with jam, one and a half"
        return whole.match is not None and table.weigh(whole.match, "piece") is not None
    sliced = amount.unit == "slice" and is_of("bread", whole.match)  # "toast with jam and butter, 2 slices"
    poured = amount.unit in TAGS.helpings and any(is_of(kind, last.match) for kind in _ON_TOP)
    if not holds(whole, last) and not sliced and not poured:  # "porridge with milk and sugar, a bowl"
        return False
    if amount.unit in TAGS.helpings:
        return table.weigh(whole.match, amount.unit) is not None if whole.match else False
    return amount.unit in _MEASURES and amount.value * ROUGH_GRAMS[amount.unit] >= LEAST_OF_DISH


def _complete_both(said: Said, last: Said | None, words: set[str], table: FoodTable) -> bool:
    """Take "120 g dry each" for the manner and the amount of the food before it."""
    amount = said.amount
    if last is None or amount is None:
        return False
    _name_manner(last, [w for w in said.words if w in TAGS.manner and w not in TAGS.about_it], table)
    last.amount = joined(amount, last.amount, words) or last.amount
    last.end = max(last.end, said.end)
    return True


def _name_manner(food: Said, manner: list[str], table: FoodTable) -> None:
    """Put words for how a food was before its name, where the table knows what they make of it."""
    match = table.match(" ".join([*manner, *food.words]))
    if match is not None or food.match is None:
        food.words[:0] = manner
        food.match = match or food.match


def joined(new: Amount, old: Amount | None, words: set[str]) -> Amount | None:
    """Return what two amounts of one food make, None where the first one stands."""
    if old is None:
        return new
    counted = old.unit not in _MEASURES and not old.vague
    if new.times and not (old.article and not old.unit):
        return replace(scale(old, new.value), article=False)
    if new.size and not new.unit and new.value == 1 and not old.size and old.unit not in _MEASURES:
        return replace(old, size=new.size, article=False)
    if words & {"each", "per"} and counted and new.unit in _MEASURES:
        return replace(new, value=new.value * old.value)
    if new.unit == "inch" and old.share:  # "a quarter of a pizza, 12 inch"
        size = size_of_inches(new.value)
        return replace(old, size=size if size == "large" else "")
    if words & TAGS.whole and (old.share or old.value < 1) and new.unit in _MEASURES:
        return replace(new, value=new.value * old.value)
    if old.among and new.unit in _MEASURES:  # "two of eight wedges, 720 g in all"
        return replace(new, value=new.value * old.value / old.among)
    if (
        old.unit in TAGS.holders_completing | {"sachet"} and old.value < 1 and new.held
    ):  # "half the pack, a 200 g pack"
        return replace(new, value=new.value * old.value)
    if old.unit in TAGS.holders_completing | {"sachet"} and new.unit in TAGS.dealt:
        return new  # "half a pack of crackers, 4 pcs"
    if old.unit in TAGS.dealt and not new.unit and not new.share and 0 < new.value < old.value:
        return replace(old, value=new.value)  # "pizza, 8 slices, had 3"
    if new.share and not (old.vague or (old.article and not old.unit)):
        return replace(scale(old, new.value), article=False)
    if old.vague or old.article or (new.unit in _MEASURES and counted) or new.unit == old.unit != "":
        return new
    return None
