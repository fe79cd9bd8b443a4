"""Words and amounts that are no food of their own: they complete the one said before them."""

from dataclasses import replace

from bot.foodtable import FoodTable
from bot.understanding.foods.categories import (
    is_bread,
    is_dish,
    is_mash,
    is_milk,
    is_plateful,
    is_spread,
    is_tea_or_coffee,
)
from bot.understanding.foods.remarks import scale
from bot.understanding.foods.said import Said, is_measured
from bot.understanding.foods.weighing import MOST_OF_WHOLE, size_of_inches
from bot.understanding.pieces.pieces import Amount
from bot.understanding.pieces.units import EXACT_UNITS, ROUGH_GRAMS, VOLUME_UNITS
from bot.understanding.words.wordlists import word_set

# Words that only say how a food was: by themselves they belong to the food before them.
MANNER = word_set(
    "cooked raw dry dried uncooked boiled fried grilled baked steamed roasted roast poached scrambled "
    "mashed plain black white unsweetened sweetened semi skimmed skim whole full fat low lowfat light "
    "diet decaf fresh frozen tinned canned toasted untoasted buttered wholemeal wholegrain brown dark "
    "salted unsalted hot cold iced cooled warm peeled unpeeled large small medium weight skinless "
    "boneless drained lean thin thick crust very spicy mild skinny pan deep oven air stir gold golden ripe "
    "regular stiff runny heated reheated microwaved warmed chilled defrosted crispy soft"
)
# Words about an amount that stands by itself: "(whole is 350 g)", "50 g each".
_ABOUT_IT = word_set(
    "each per whole total entire full weighs weighed weighing thing they that those them it piece one "
    "altogether together portion left ate eaten only just rather actually sorry more like maybe either them "
    "says said label ones lot still bag pack packet box heaps evening arvo "
    "loads tons up through again swear promise honest honestly tasted"
)
_WHOLE = frozenset({"whole", "total", "entire", "full", "altogether"})
_BREADS = word_set(
    "white brown wholemeal wholewheat whole wheat wholegrain granary seeded grain multigrain gf"
)
_NUTRIENTS = word_set(
    "protein carbs carb carbohydrate carbohydrates fat fibre fiber sugars net sat saturated"
)
_WINES = frozenset({"white", "red", "rose", "rosé"})
# Where food came from: in parentheses behind it they are no food.
_ORIGINS = word_set(
    "ready meal takeaway takeout home homemade made shop bought freezer restaurant canteen leftover "
    "leftovers supermarket microwave mums delivery packet store own batch from the"
)
_MILKS = word_set("semi skimmed skim")
LEAST_OF_DISH = 80.0
"""Grams from which on an amount behind "stew with sausage" is that of the dish; no source."""
SURE_KIND = 0.9
_HOLDERS = frozenset({"pot", "sachet", "tin", "can", "bottle", "bar", "jar", "whole"})
_COOKED_IN = frozenset({"pot", "pan", "tray", "batch", "tin"})
_DEALT = frozenset({"slice", "piece"})
_MEASURES = EXACT_UNITS | VOLUME_UNITS


def name_by_unit(said: Said) -> None:
    """Name what only its unit tells: "2 slices wholemeal" are of bread, "two rashers" are bacon."""
    if "on" in said.leads and said.words and set(said.words) <= _BREADS | {"wheat", "rye", "sourdough"}:
        said.words.append("bread")
    if said.amount is None:
        return
    if said.amount.unit == "slice" and said.words and set(said.words) <= _BREADS | {"toasted"}:
        said.words.append("bread")
    elif said.amount.unit in ("glass", "cup", "mug", "bottle", "pint") and said.words == ["squash"]:
        said.words.insert(0, "fruit")
    elif said.amount.unit == "pint" and is_measured(said) and not (said.words or said.inside):
        said.words.append("beer")
    elif said.amount.unit == "scoop" and said.words == ["protein"]:
        said.words.append("powder")
    elif said.amount.unit == "rasher" and not said.words:
        said.words.append("bacon")
    elif said.amount.unit in ("glass", "bottle") and len(said.words) == 1 and set(said.words) <= _WINES:
        said.words.append("wine")


def turn_round(said: Said, table: FoodTable) -> None:
    """Turn "juice orange" the English way round; leave the balls out of "2 balls banku"."""
    first, *rest = said.words
    several = said.amount is not None and not said.amount.unit and said.amount.value > 1
    if several and rest and first.removesuffix("s") in _SHAPES and table.starts(rest) == len(rest):
        said.words = rest  # "2 balls banku"
        return
    for head in (1, 2):
        turned = [*said.words[head:], *said.words[:head]]
        kind = " ".join(said.words[:head]) in _KINDS_FIRST and said.words[head:] != ["milk"]
        if kind and table.starts(said.words) < len(turned) == table.starts(turned):
            said.words = turned
            return


_KINDS_FIRST = word_set(
    "juice salad soup tea yogurt yoghurt crisps smoothie milkshake jam muffin tart lemonade"
) | {
    "ice cream",
    "iced tea",
    "energy drink",
    "rice cakes",
    "protein bar",
}
_SAID_OF_KIND = word_set(
    "sugar fat alcohol gluten dairy lactose caffeine free low zero diet light lite reduced"
)


def complete(said: Said, last: Said | None, table: FoodTable, *, beside: bool) -> bool:
    """Add an amount or a manner by itself to the food before it; tell whether that was all it is.

    beside: the food before stands in the same clause
    """
    words = set(said.words)
    if (
        said.amount is not None
        and words
        and words <= _NUTRIENTS
        and said.amount.unit == "g"
        and last is not None
    ):
        last.end = max(last.end, said.end)
        return True
    if said.inside and not beside and last is not None and words and words <= _ORIGINS:
        last.amount, last.end = last.amount or said.amount, max(last.end, said.end)
        return True  # "fish pie (ready meal, 400 g)"
    if words and words <= _MILKS and "with" in said.leads:
        return False
    if said.amount is not None and words & MANNER and words & _ABOUT_IT and words <= MANNER | _ABOUT_IT:
        return _complete_both(said, last, words, table)
    if said.inside and not beside and said.amount is not None and words and words <= MANNER:
        return _complete_both(said, last, words, table)  # "potatoes (200 g boiled)"
    if _only_tells_kind(said, last, table) or _counts_shapes(said, last, table):
        return True
    if said.amount is not None and words <= _ABOUT_IT:
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
        and words <= MANNER
        and said.amount.unit in _MEASURES
    ):
        return _complete_both(said, last, words, table)  # "a plate of pasta, maybe 300 g cooked"
    if last is None or not words <= MANNER or (said.amount is not None) != (beside and last.amount is None):
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
    part = old is not None and old.unit in _HOLDERS | {"sachet"} and old.value < 1
    return replace(said.amount, held=said.amount.held or (part and bool(said.inside)))


_KINDS = word_set("one ones kind type version variety sort stuff")


def _only_tells_kind(said: Said, last: Said | None, table: FoodTable) -> bool:
    """Read "the sugar free one" as what the food before it was."""
    amount = said.amount
    if last is None or (amount is not None and not amount.article) or len(said.words) < 2:
        return False
    words = said.words[:-1] if said.words[-1] in _KINDS else said.words
    if words is said.words and not set(words) <= _SAID_OF_KIND:
        return False  # "energy drink 500 ml, sugar free"
    match = table.match(" ".join([*words, *last.words]))
    if match is not None and match.sure >= SURE_KIND:
        last.match, last.words = match, [*words, *last.words]
    last.end = max(last.end, said.end)
    return True


_SHAPES = {"wrap": "wrap", "roll": "roll", "ball": "piece", "parcel": "piece", "mound": "piece"}


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


_HELPINGS = frozenset({"slice", "bowl", "plate", "portion", "cup", "mug", "ladle"})


def holds(whole: Said, part: Said) -> bool:
    """Tell whether one food is in the other, so that an amount behind both is of the whole."""
    milky = is_tea_or_coffee(whole.match) and is_milk(part.match)
    dish = whole.match is not None and is_dish(whole.match)
    return is_plateful(whole.match) or is_mash(whole.match) or milky or dish


def _is_of_dish(amount: Amount, last: Said, table: FoodTable) -> bool:
    """Tell whether an amount behind what a dish was said to be with is that of the whole dish."""
    whole = last.whole
    if whole is None or last.amount is not None or not (whole.amount is None or whole.amount.article):
        return False
    if not amount.unit and is_spread(last.match):  # "crumpets with jam, one and a half"
        return whole.match is not None and table.weigh(whole.match, "piece") is not None
    sliced = amount.unit == "slice" and is_bread(whole.match)  # "toast with jam and butter, 2 slices"
    if not holds(whole, last) and not sliced:
        return False
    if amount.unit in _HELPINGS:
        return table.weigh(whole.match, amount.unit) is not None if whole.match else False
    return amount.unit in _MEASURES and amount.value * ROUGH_GRAMS[amount.unit] >= LEAST_OF_DISH


def _complete_both(said: Said, last: Said | None, words: set[str], table: FoodTable) -> bool:
    """Take "120 g dry each" for the manner and the amount of the food before it."""
    amount = said.amount
    if last is None or amount is None:
        return False
    _name_manner(last, [w for w in said.words if w in MANNER and w not in _ABOUT_IT], table)
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
    if words & _WHOLE and (old.share or old.value < 1) and new.unit in _MEASURES:
        return replace(new, value=new.value * old.value)
    if old.among and new.unit in _MEASURES:  # "two of eight wedges, 720 g in all"
        return replace(new, value=new.value * old.value / old.among)
    if old.unit in _COOKED_IN and new.unit in _HELPINGS:
        return new  # "cooked a big pot of soup, had 2 bowls"
    if words & {"more"} and not (new.unit or new.share) and old.unit in ("", "piece", "slice"):
        return replace(old, value=old.value + new.value, article=False)  # "4 squares, later 4 more"
    if old.unit in _HOLDERS | {"sachet"} and old.value < 1 and new.held:  # "half the pack, a 200 g pack"
        return replace(new, value=new.value * old.value)
    if old.unit in _DEALT and not new.unit and not new.share and 0 < new.value < old.value:
        return replace(old, value=new.value)  # "pizza, 8 slices, had 3"
    if new.share and old.unit in _DEALT and old.value == 1 and new.value <= MOST_OF_WHOLE:
        return new  # "a slice of pie, 1/8 of it"
    if new.share and not (old.vague or (old.article and not old.unit)):
        return replace(scale(old, new.value), article=False)
    if old.vague or old.article or (new.unit in _MEASURES and counted) or new.unit == old.unit != "":
        return new
    return None
