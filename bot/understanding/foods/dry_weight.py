"""What was weighed dry: "pesto pasta 100 g dry weight" is the plate that so much pasta makes."""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable import FoodTable
from bot.understanding.foods.said import Said
from bot.understanding.foods.weighing import LEAST_BARE_GRAMS
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS

_PLATE_OF_DRY = 3.3
"""Grams of a dish that a gram of its dry pasta or rice makes; common practice, no source: pasta and rice take
up 1.3 to 1.7 times their weight in water, and are two thirds of such a plate."""


def settle_dry(foods: Sequence[Said], table: FoodTable) -> list[Said]:
    """Return the foods with what was weighed dry as what it became; a staple alone weighs its dish."""
    kept: list[Said] = []
    for food in foods:
        amount = food.amount
        if (
            amount is not None
            and not amount.unit
            and amount.value >= LEAST_BARE_GRAMS
            and TAGS.dry & set(food.words)
        ):
            amount = replace(amount, unit="g")  # "couscous 80 dry weight"
        if amount is not None and TAGS.dry & set(food.words) and _is_porridge(food):
            food.match = table.match("dry oats")  # "oatmeal, half a cup dry"
            kept.append(food)
            continue
        if amount is None or amount.unit not in TAGS.exact_units or not TAGS.dry & set(food.words):
            if amount is not None and amount.unit == "g" and amount.value <= MOST_DRY_OATS_G:
                food.match = table.match("dry oats") if _is_porridge(food) else food.match
            kept.append(food)
            continue
        words = [w for w in food.words if w not in TAGS.dry | TAGS.weight]
        whole = _dish_of(food, kept) if len(words) == 1 and words[0] in TAGS.staples else None
        if whole is not None:
            whole.end = max(whole.end, food.end)
            _weigh(whole, whole.words, amount, table)
            continue
        if not _is_dry(food):
            _weigh(food, words, amount, table)
        kept.append(food)
    return kept


MOST_DRY_OATS_G = 90.0
"""Less than this of porridge is the oats that it was made of: "oatmeal 50 g with milk"; no source."""


def _is_porridge(food: Said) -> bool:
    return food.match is not None and food.match.food.description.startswith("Oatmeal")


def _is_dry(food: Said) -> bool:
    return food.match is not None and bool(TAGS.dry & set(food.match.food.description.lower().split(", ")))


def _dish_of(staple: Said, foods: Sequence[Said]) -> Said | None:
    """Find the dish that a staple is in: "risotto, 75 g dry rice"."""
    if staple.match is None:
        return None
    kind = staple.match.food.description.partition(",")[0].lower()
    holding = (f for f in foods if f.amount is None and f.match is not None)
    return next((f for f in holding if f.match and kind in f.match.food.description.lower()), None)


def _weigh(food: Said, words: Sequence[str], amount: Amount, table: FoodTable) -> None:
    row = food.match.food.description if food.match is not None else ""
    plain = (
        s for s in sorted(TAGS.staples) if (m := table.match(s)) is not None and m.food.description == row
    )
    names = (" ".join(words), next(plain, ""))
    matches = (table.match(f"dry {name}") for name in names if name)
    dry = next((m for m in matches if m is not None and m.sure == 1.0), None)
    if dry is not None:
        food.match, food.amount = dry, amount
    elif "%)" in row or any(staple in row.lower() for staple in TAGS.staples):
        food.amount = replace(amount, value=amount.value * _PLATE_OF_DRY, low=None, high=None, about=True)
