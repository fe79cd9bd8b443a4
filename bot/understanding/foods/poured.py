"""What is poured: milk into drinks and over cereal, sauce over a dish; and what swims in a soup."""

from collections.abc import Sequence
from dataclasses import replace

from bot.foodtable import FoodTable, Match
from bot.understanding.foods.categories import is_cereal, is_of
from bot.understanding.foods.said import Said
from bot.understanding.pieces.pieces import Amount
from bot.understanding.words.lexicon import TAGS

_MILK_IN_DRINK = Amount(0, 0, 2.0, "tbsp", low=1.0, high=4.0, implied=True)
"""A splash of milk in tea or coffee when no amount was said; common practice, no source."""
_MILK_ON_CEREAL = Amount(0, 0, 150.0, "ml", low=60.0, high=250.0, implied=True)
"""Milk on a bowl of cereal; common practice, no source."""
_SAUCE_OF_DISH = Amount(0, 0, 4.0, "tbsp", low=2.0, high=8.0, implied=True)
"""The sauce that something was said to be in; common practice, no source."""
ON_BREAD = 0.45
"""How much of a usual helping of tomatoes, berries or cottage cheese lies on bread or cereal; no source."""
IN_SOUP = 0.5
"""How much of a usual helping is in a soup; no source."""


def settle_poured(foods: Sequence[Said], left_out: frozenset[str], table: FoodTable) -> list[Said]:
    """Return the foods with milk put into the drink it was said with; left_out: words after "no"."""
    for food in foods:
        if "in" in food.leads and food.amount is None:
            food.amount = replace(_SAUCE_OF_DISH, start=food.start, end=food.start)
    settled = _settle_drinks(foods, left_out, table)
    _settle_soups(settled)
    _settle_toppings(settled)
    return settled


def _settle_drinks(foods: Sequence[Said], left_out: frozenset[str], table: FoodTable) -> list[Said]:
    settled: list[Said] = []
    drink: Said | None = None
    for food in foods:
        if is_of("tea_or_coffee", food.match):
            drink = food
            if TAGS.sugar & left_out:
                food.match = _known(f"unsweetened {food.name}", table) or food.match
        elif TAGS.sugar & left_out and is_of("drinkable", food.match):
            kinds = (_known(f"{kind} {food.name}", table) for kind in ("unsweetened", "sugar free", "diet"))
            food.match = next(filter(None, kinds), food.match)
        if drink is not None and food.words in (["shot"], ["shots"]):
            food.match = table.match("espresso") or food.match
        if food.leads & {"with", "on"} and food.words == ["water"] and settled and not _is_weighed(food):
            settled[-1].amount = settled[-1].amount or food.amount
            continue  # "hot chocolate with water, small"
        if (
            is_of("milk", food.match)
            and "with" in food.leads
            and food.amount is None
            and _has_milk_on(settled)
        ):
            food.amount = replace(_MILK_ON_CEREAL, start=food.start, end=food.start)
        if drink is not None and is_of("milk", food.match) and (food.amount is None or food.amount.vague):
            if is_of("milky_drink", drink.match):
                kind = next((w for w in food.words if w in TAGS.plant_milks), "")
                drink.match = (_known(f"{kind} milk {drink.name}", table) if kind else None) or drink.match
                continue
            food.amount = replace(_MILK_IN_DRINK, start=food.start, end=food.start)
        settled.append(food)
    return settled


def _is_weighed(food: Said) -> bool:
    return food.amount is not None and bool(food.amount.unit)


def _has_milk_on(foods: Sequence[Said]) -> bool:
    return bool(foods) and is_cereal(foods[-1:])


def _settle_soups(foods: list[Said]) -> None:
    """Take what a soup was said to be with for what is in it: less than a helping by itself.

    "Miso soup with tofu and spinach"; in "kimchi stew and rice" the rice stands beside it.
    """
    leads: frozenset[str] = frozenset()
    for food in foods:
        if is_of("soup", food.match):
            leads = frozenset({"with"})
        elif leads & food.leads and is_of("soup_filling", food.match):
            leads = TAGS.goes_on
            if food.amount is None and not (food.match and is_of("eaten_by_piece", food.match)):
                food.amount = Amount(food.start, food.start, IN_SOUP, vague=True)
        else:
            leads = frozenset()


def _settle_toppings(foods: list[Said]) -> None:
    """Take what bread or cereal was said to be with for what lies on it: less than a helping by itself."""
    based, lies = False, False
    for food in foods:
        lies = "with" in food.leads or (lies and bool(food.leads & {"and", "&", "+"}))
        if is_of("bread", food.match) or is_of("cracker", food.match) or is_cereal([food]):
            based = True
        elif based and lies and is_of("topping", food.match):
            if food.amount is None and not {"avocado", "salad"} & set(food.words):
                food.amount = Amount(food.start, food.start, ON_BREAD, vague=True)
        elif not is_of("spread", food.match):
            based = False


def _known(words: str, table: FoodTable) -> Match | None:
    match = table.match(words)
    return match if match is not None and match.sure == 1.0 else None
