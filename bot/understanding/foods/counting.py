"""Counts that are read otherwise than "so many of it": a double whisky, 3 egg omelette, 1 tbsp each."""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable import FoodTable
from bot.foodtable.words import plain_word
from bot.understanding.foods.categories import is_of
from bot.understanding.foods.remarks import scale
from bot.understanding.foods.said import Said
from bot.understanding.foods.weighing import LEAST_BARE_GRAMS
from bot.understanding.pieces.pieces import Amount
from bot.understanding.pieces.units import UNITS
from bot.understanding.words.lexicon import TAGS

EGG_IN_DISH_G = 55.0
MOST_BIG_ONES, MOST_OF_BIG_ONES_G = 5, 450.0
"""More of them, and heavier together, are small ones: "15 pretzels"; no source."""


def count_each(said: Said, last: Said | None) -> None:
    """Read "2 rice cakes with 1 tbsp jam each" as jam for both of them."""
    amount = said.amount
    if amount is None or len(said.words) < 2 or said.words[-1] != "each":
        return
    said.words.pop()
    counted = last.amount if last is not None else None
    if counted is not None and counted.unit not in TAGS.exact_units | TAGS.volume_units and counted.value > 1:
        said.amount = scale(amount, counted.value)


def gives_count(said: Said, whole: Said, table: FoodTable) -> bool:
    """Read "dumplings with potato 10 pcs" as ten dumplings, whose filling is no food of its own."""
    amount = said.amount
    several = amount is not None and (amount.unit == "piece" or amount.times)
    if amount is None or not several or amount.start == said.start or whole.amount is not None:
        return False
    if amount.times:  # "oatcakes with cheese x3" are three, with cheese on each
        whole.amount, said.amount = replace(amount, times=False), None
        return False
    if whole.match is None or is_of("plateful", whole.match) or table.weigh(whole.match, "piece") is None:
        return False
    whole.amount, whole.end = amount, max(whole.end, said.end)
    return True


def drop_sorts(foods: Sequence[Said], table: FoodTable) -> list[Said]:
    """Leave out the sorts that a count was made of: "3 sandwiches, 2 ham 1 cheese" are three sandwiches."""
    kept: list[Said] = []
    i = 0
    while i < len(foods):
        kept.append(foods[i])
        sorts, left, fillings = i + 1, _count_of(foods[i]), list[Said]()
        while left > 0 and sorts < len(foods) and 0 < _count_of(foods[sorts]) <= left:
            named = [*foods[sorts].words, *foods[i].words]
            if table.starts(named) < len(named):
                if is_of("bread", foods[i].match) and is_of("filling", foods[sorts].match):
                    fillings.append(foods[sorts])
                else:
                    break  # no "apple eggs"
            left -= _count_of(foods[sorts])
            sorts += 1
        while _is_scooped(foods[i]) and sorts < len(foods) and _is_flavour_of(foods[sorts]):
            sorts, left = sorts + 1, 0.0  # "two scoops of ice cream, pistachio and lemon"
        parted = left == 0 and sorts > i + 2  # into at least two sorts
        if parted:
            kept += [replace(food, amount=None) for food in fillings]  # "3 tortillas, two of beans"
        i = sorts if parted else i + 1
    return kept


def _is_scooped(food: Said) -> bool:
    """Tell whether it is ice cream, behind which its flavours may be named."""
    return food.match is not None and food.match.food.category.startswith("Ice cream")


def _is_flavour_of(food: Said) -> bool:
    """Tell whether a food is only named, and names a flavour of what stands before it."""
    single = len(food.words) == 1 and food.words[0] == plain_word(food.words[0])
    beside = food.leads & {",", "and", "&", "+", "("}
    return (
        single
        and food.amount is None
        and bool(beside)
        and (food.match is None or is_of("flavour", food.match))
    )


def _count_of(food: Said) -> float:
    """Return how many of a food were counted, 0 where it was weighed or only named."""
    amount = food.amount
    counted = amount is not None and amount.unit in ("", "piece") and not (amount.article or amount.vague)
    return amount.value if amount is not None and counted and amount.end > amount.start else 0.0


def weighs_cut(said: Said) -> bool:
    """Take "salmon fillet 130" for grams, not so many fillets; tell whether it is that."""
    amount = said.amount
    many = amount is not None and not amount.unit and amount.value >= LEAST_BARE_GRAMS
    if amount is None or not many or said.words[-1] not in UNITS:
        return False
    said.amount = replace(amount, unit="g")
    return True


def double_measure(said: Said, table: FoodTable) -> None:
    """Read "a double whisky" as two measures of it."""
    if said.words[0] != "double" or len(said.words) < 2:
        return
    spirit = table.match(" ".join(said.words[1:]))
    if spirit is None or not is_of("spirit", spirit) or spirit.sure < 1.0:
        return
    amount = said.amount or Amount(said.start, said.start, 1.0)
    if not amount.unit:
        said.amount, said.match = replace(amount, value=2 * amount.value, article=False), spirit
        said.words = said.words[1:]


def count_small(said: Said, table: FoodTable) -> None:
    """Take many of what comes in two sizes for the small kind."""
    amount = said.amount
    if amount is None or amount.unit or said.match is None or amount.value <= MOST_BIG_ONES:
        return
    one = table.weigh(said.match, "piece", amount.size)
    if one is None or one.grams * amount.value <= MOST_OF_BIG_ONES_G:
        return
    small = table.match(f"mini {said.name}")
    if small is not None and small.sure == 1.0 and small.entry != said.match.entry:
        said.match = replace(small, name=said.match.name)


def count_eggs(said: Said) -> None:
    """Read "3 egg omelette" as one omelette of three eggs, not three omelettes."""
    amount = said.amount
    if said.words[0] not in ("egg", "eggs") or said.words[-1] not in TAGS.of_eggs or amount is None:
        return
    if not (amount.unit or amount.article or amount.vague) and amount.value > 1:
        said.amount = replace(amount, value=amount.value * EGG_IN_DISH_G, unit="g", about=True)
