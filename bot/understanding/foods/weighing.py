"""An amount as it was said -> grams with a range, and what was taken for granted."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.foodtable import FoodTable, Match, Weight
from bot.understanding.foods.categories import is_of, is_sugar
from bot.understanding.pieces.amounts import FEW
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS

# How far off a stated amount may be; common practice, no source.
WEIGHED, MEASURED, ROUGHLY = 0.05, 0.10, 0.15
MOST_GRAMS = 3000.0
MOST_KCAL = 3500.0
"""Of one food: more than most people need in a day; common sense, no source."""
# One of it is a helping only from this weight on: nobody means one mushroom by "mushroom".
LEAST_PIECE_GRAMS = 25.0
# ... but one biscuit is one biscuit.
LEAST_BITE_GRAMS = 10.0
# ... and where a helping is clearly more than one: "chicken" is no piece of chicken.
HELPINGS_OF_MANY = 1.4
# A bare number is grams from the first on, where as many pieces weighed more than the second, or than so many
# large helpings; no source.
LEAST_BARE_GRAMS, MOST_BY_PIECE, MOST_HELPINGS = 20.0, 1500.0, 4.0

_GRAMS = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
"""Grams; ounce and pound are the international ones, exact by definition (1959 agreement, from memory)."""
_MILLILITRES = {"ml": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0, "floz": 28.4130625, "pint": 568.26125}
"""Millilitres; imperial fluid ounce and pint, exact by definition (UK, from memory)."""
_EXTRA_GRAMS = {"tbsp": {"vinegar": 15.0, "cinnamon": 7.8}, "tsp": {"vinegar": 5.0, "cinnamon": 2.6}}
"""A spoon of vinegar or ground cinnamon; USDA household weights (from memory)."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """Grams with their range; stated: the person gave the amount; assumed: what was taken for granted."""

    grams: float
    low: float
    high: float
    stated: bool
    assumed: str = ""


def weigh_known(amount: Amount | None, match: Match, table: FoodTable, *, singular: bool = False) -> Weighed:
    """Weigh an amount of a food that the table knows; no amount is the usual portion.

    singular: it was named as one ("bagel with egg"), which counts where it is a thing people count
    """
    if amount is None and singular:
        counted = _single(match, table)
        if counted is not None:
            return counted
    if amount is None or amount.vague:
        return _portions(1.0 if amount is None else amount.value, match, table, stated=False)
    if amount.unit in TAGS.exact_units:
        return _spread(amount, _GRAMS[amount.unit], WEIGHED)
    if amount.unit == "kcal":
        return _from_energy(amount, match, table)
    if amount.unit == "inch":
        amount = _from_inches(amount, match, table)
    if amount.decimal and not amount.unit and amount.value < 1 and is_of("drinkable", match):
        amount = replace(amount, unit="l")  # "a beer 0.5"
    helpings = _helpings(amount, match, table)
    if helpings is not None:
        return _portions(helpings, match, table, stated=True)
    if amount.share and not amount.size and _is_part_of_helping(match, table, singular):
        return _portions(amount.value, match, table, stated=True)
    amount = _of_slices(amount, match, table)
    unit = _unit_meant(amount, match, table)
    heaped = amount.unit == "spoon" and unit == "tbsp" and amount.size in ("", "large")
    one = table.weigh(match, unit, "heaped" if heaped else amount.size)
    if one is None and unit == "can":
        one = table.weigh(match, "tin", amount.size)
    if not amount.unit and _means_grams(amount, one, MOST_HELPINGS * table.portion(match).high):
        weight = _spread(amount, 1.0, ROUGHLY)
        return Weighed(weight.grams, weight.low, weight.high, True, f"{amount.value:g} = {amount.value:g} g")
    if one is None and amount.size:
        one = table.weigh(match, unit)
    if one is None:
        return _weigh_uncounted(amount, unit, match, table)
    if unit in TAGS.volume_units:
        return _spread(amount, one.grams, MEASURED)
    return _times(amount, one, match.name if unit == "piece" else _UNIT_NAMES.get(unit, unit))


def _unit_meant(amount: Amount, match: Match, table: FoodTable) -> str:
    """Return the unit that an amount counts of a food: a spoon's size, the whole of a share, else a piece."""
    unit = amount.unit or "piece"
    if unit == "spoon" and table.weigh(match, unit) is None:
        served = table.portion(match).grams >= LEAST_BY_SPOON_G
        return "tbsp" if served else "tsp" if is_sugar(match) else "dsp"
    if amount.share and not amount.size and table.weigh(match, "whole") is not None:
        return "whole"
    return "piece" if unit in ("whole", "loaf") and table.weigh(match, unit) is None else unit


LEAST_BY_SPOON_G = 60.0
"""What is had in helpings of at least so much is eaten by the tablespoon, which is heaped; no source."""


def _of_slices(amount: Amount, match: Match, table: FoodTable) -> Amount:
    """Take "1/6 of a quiche" for a part of all that was cut into slices, not of one piece."""
    one, sliced = table.weigh(match, "piece"), table.weigh(match, "slice")
    if (
        not amount.share
        or amount.unit
        or amount.value > MOST_OF_WHOLE
        or sliced is None
        or is_of("bread", match)
    ):
        return amount
    if table.weigh(match, "whole") is not None or (one and one.grams > MOST_BY_SLICE * sliced.grams):
        return amount  # one pizza is all of it
    return replace(amount, value=amount.value * SLICES_OF_WHOLE, unit="slice", size="")


def _weigh_uncounted(amount: Amount, unit: str, match: Match, table: FoodTable) -> Weighed:
    """Weigh an amount in a unit of which the food has no weight of its own."""
    if unit in TAGS.volume_units:
        weight = _spread(amount, _MILLILITRES[unit], ROUGHLY)
        return Weighed(weight.grams, weight.low, weight.high, True, "1 ml = 1 g")
    if amount.unit in TAGS.dealt and amount.value > 1:  # "sweet and sour pork 5 pcs"
        low, usual, high = (grams * amount.value for grams in PIECE_OF_DISH_G)
        return Weighed(usual, low, high, True, f"1 piece = {PIECE_OF_DISH_G[1]:g} g")
    helpings = amount.value * (1.0 if amount.unit else SIZE_OF_HELPING.get(amount.size, 1.0))
    if (
        helpings > SIZE_OF_HELPING["large"]
        and not is_of("drinkable", match)
        and helpings * table.portion(match).grams > MOST_OF_HELPINGS_G
    ):
        helpings = 1.0  # "couscous with 7 vegetables" counts kinds
    return _portions(helpings, match, table, stated=not amount.article)


MOST_OF_HELPINGS_G = 600.0
"""More than so much of what has no pieces is no count of helpings; no source."""


def _times(amount: Amount, one: Weight, counted: str) -> Weighed:
    """Weigh so many of what weighs so much each."""
    rough = ROUGHLY if amount.about else 0.0
    if amount.implied:
        grams = one.grams * amount.value
        low, high = (one.grams * (end or amount.value) for end in (amount.low, amount.high))
        return Weighed(grams, low, high, False, f"a little = {grams:.3g} g")
    size = f"{amount.size} " if amount.size else ""
    return Weighed(
        one.grams * amount.value,
        one.low * (amount.value if amount.low is None else amount.low) * (1 - rough),
        one.high * (amount.value if amount.high is None else amount.high) * (1 + rough),
        True,
        f"1 {size}{counted} = {_plain(one.grams)} g",
    )


def _plain(grams: float) -> str:
    return f"{grams:.0f}" if grams >= 100 else f"{grams:.3g}"


def _means_grams(amount: Amount, one: Weight | None, most: float) -> bool:
    """Tell whether a bare number is too many pieces, so that it must be grams: "kefir 200", "broccoli 90"."""
    many = one is None or one.grams * amount.value > min(MOST_BY_PIECE, most)
    return LEAST_BARE_GRAMS <= amount.value <= MOST_GRAMS / 3 and many and not amount.size


def _is_part_of_helping(match: Match, table: FoodTable, singular: bool) -> bool:
    """Tell whether "half the fries" is of a helping, not of one piece."""
    one = table.weigh(match, "piece")
    many = one is not None and one.grams < table.portion(match).grams / 2
    return many and not singular and table.weigh(match, "whole") is None


SLICES_OF_WHOLE, MOST_OF_WHOLE, MOST_BY_SLICE = 8, 1 / 3, 2.0
"""How many slices a pie or a cake is cut into, from which part down a part is of all of it, and how many
slices one of it weighs at most where it is counted by the slice; no source."""
A_FEW, MOST_COUNTED = 0.4, 30
"""How much of a helping a few are of what nobody counts, as more than so many make one; no source."""
PIECE_OF_DISH_G = (12.0, 25.0, 45.0)
"""Least, usual and most grams of a piece of meat or the like in a dish; common practice, no source."""
SIZE_OF_HELPING = {"small": 0.7, "medium": 1.0, "large": 1.4}
"""A size of something that is had by the handful, as a share of a usual helping; no source."""


def _helpings(amount: Amount, match: Match, table: FoodTable) -> float | None:
    """Return how many helpings are meant, not pieces: "large fries", "a few peas"; None where neither."""
    if amount.unit:
        return None
    one, usual = table.weigh(match, "piece", amount.size), table.portion(match).grams
    if (amount.value, amount.low, amount.high) == FEW:
        return A_FEW if one is None or one.grams < usual / MOST_COUNTED else None
    if amount.value > 1 or amount.size not in SIZE_OF_HELPING or one is None:
        return None
    return amount.value * SIZE_OF_HELPING[amount.size] if one.grams < usual / FAR_FROM_HELPING else None


FAR_FROM_HELPING = 6.0


def _single(match: Match, table: FoodTable) -> Weighed | None:
    """Weigh one of a food that is named as one and counted in pieces, not cut into slices."""
    one, usual = table.weigh(match, "piece"), table.portion(match)
    sliced = table.weigh(match, "slice") is not None
    if not is_of("eaten_by_piece", match):
        return None
    if (
        one is None
        or sliced
        or not (LEAST_BITE_GRAMS if is_of("biscuit", match) else LEAST_PIECE_GRAMS)
        <= one.grams
        <= usual.grams / HELPINGS_OF_MANY
    ):
        return None
    assumed = f"1 {match.name} = {one.grams:.3g} g"
    return Weighed(one.grams, min(one.low, usual.low), max(one.high, usual.high), False, assumed)


def _from_energy(amount: Amount, match: Match, table: FoodTable) -> Weighed:
    """Weigh "a 500 kcal pizza" by what 100 g of it hold."""
    per_100g = match.food.per_100g.energy_kcal
    if not per_100g:
        return _portions(1.0, match, table, stated=False)
    weight = _spread(replace(amount, about=True), 100 / per_100g, ROUGHLY)
    return Weighed(weight.grams, weight.low, weight.high, True, f"{per_100g:.0f} kcal = 100 g")


def _from_inches(amount: Amount, match: Match, table: FoodTable) -> Amount:
    """Take a width for a size, where the table does not know what an inch of it weighs."""
    if table.weigh(match, "inch") is not None:
        return amount
    size = size_of_inches(amount.value)
    return replace(amount, value=1.0, unit="", size="" if amount.value <= 6 else size)


def size_of_inches(inches: float) -> str:
    """Return the size of a pizza or the like of that width."""
    return "small" if inches <= 9 else "large" if inches >= 13 else "medium"


_UNIT_NAMES = {"dsp": "dessertspoon", "floz": "fl oz"}


def _portions(count: float, match: Match, table: FoodTable, *, stated: bool) -> Weighed:
    one = table.portion(match)
    return Weighed(
        one.grams * count, one.low * count, one.high * count, stated, f"1 portion = {one.grams:.3g} g"
    )


def _spread(amount: Amount, grams_each: float, spread: float) -> Weighed:
    if amount.about:
        spread = max(spread, ROUGHLY)
    grams = amount.value * grams_each
    low = grams * (1 - spread) if amount.low is None else amount.low * grams_each
    high = grams * (1 + spread) if amount.high is None else amount.high * grams_each
    return Weighed(grams, low, high, True)


def weigh_unknown(amount: Amount | None) -> Weighed:
    """Weigh an amount of a food that is not known: only what was weighed or measured can be told."""
    if amount is None or amount.vague or amount.article:
        return Weighed(0.0, 0.0, 0.0, False)
    if amount.unit in TAGS.exact_units:
        return _spread(amount, _GRAMS[amount.unit], WEIGHED)
    if amount.unit in TAGS.volume_units:
        return _spread(amount, _MILLILITRES[amount.unit], ROUGHLY)
    return Weighed(0.0, 0.0, 0.0, True)


def weigh_extra(amount: Amount | None, words: Sequence[str], table: FoodTable) -> float | None:
    """Weigh vinegar or cinnamon; None when no amount was said."""
    if amount is None or amount.vague or amount.article:
        return None
    if amount.unit in TAGS.exact_units:
        return amount.value * _GRAMS[amount.unit]
    kind = "cinnamon" if "cinnamon" in words else "vinegar"
    if amount.unit in _EXTRA_GRAMS:
        return amount.value * _EXTRA_GRAMS[amount.unit][kind]
    if amount.unit in TAGS.volume_units:
        return amount.value * _MILLILITRES[amount.unit]
    match = table.match(" ".join(words))
    unit = "dsp" if amount.unit == "spoon" else amount.unit or "piece"
    one = None if match is None else table.weigh(match, unit, amount.size)
    return None if one is None else one.grams * amount.value


def amount_problem(amount: Amount | None, grams: float, energy_kcal: float = 0.0) -> str:
    """Return what is wrong with an amount, "" when nothing is."""
    if amount is not None and not amount.vague and amount.value <= 0:
        return "An amount must be above zero"
    if grams > MOST_GRAMS:
        return f"{grams / 1000:.3g} kg is more than a meal"
    if energy_kcal > MOST_KCAL:
        return f"{grams:.0f} g hold {energy_kcal:.0f} kcal, more than a meal"
    return ""
