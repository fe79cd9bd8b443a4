"""What an unknown food may have been: foods near its words and packaged products, each with its weight.

Looking through the products takes some tenths of a second, so it is done for what is shown to a person or
written as JSON, never while a note is read.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.foodtable import FoodTable
from bot.foodtable.products import Product, near_products
from bot.model.entries import Item, Nutrients
from bot.understanding.foods.weighing import weigh_known
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.pieces import Amount
from bot.understanding.pieces.units import ROUGH_GRAMS, UNITS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import read_tokens, tidy

MOST_OFFERS, MOST_NEAR = 5, 2
_MEASURE_G = {"cup": 240.0, "tbsp": 15.0, "tsp": 5.0, "glass": 240.0, "mug": 250.0, "bowl": 300.0}
"""Grams of one where neither label nor table says it: those of water; common practice, no source."""

_ONE = Amount(0, 0, 1.0)


@dataclass(frozen=True, slots=True)
class Offer:
    """One food that may have been meant: what was had of it, and what one of it weighs.

    place: where a packaged product stands in the data, None for a food of the composition table
    """

    food: str
    grams: float
    nutrients: Nutrients
    one_g: float
    place: int | None = None


def offers_for(words: str, amount: Amount | None, table: FoodTable) -> tuple[Offer, ...]:
    """Return what the words of an unknown food may mean, best first: foods near them, then products."""
    near = []
    for match in table.near(words, MOST_NEAR):
        grams = weigh_known(amount, match, table, singular=True).grams
        one_g = weigh_known(_ONE, match, table).grams
        near.append(Offer(match.food.description, grams, match.food.per_100g.scaled(grams / 100), one_g))
    products = [_offer(product, amount) for product in near_products(words, MOST_OFFERS - len(near))]
    return (*near, *products)


def offers_of(item: Item, table: FoodTable) -> tuple[Offer, ...]:
    """Return the offers for an item whose food is not known, in the amount that was said; none for others."""
    if item.food is not None:
        return ()
    pieces = fold_amounts(read_tokens(tidy(item.said)))
    amount = next((piece for piece in pieces if isinstance(piece, Amount)), None)
    return offers_for(item.name, amount, table)


def _offer(product: Product, amount: Amount | None) -> Offer:
    grams = _weigh(product, amount)
    held = product.nutrients.scaled(grams / product.grams)
    return Offer(product.name, grams, held, _weigh(product, _ONE), product.place)


def _weigh(product: Product, amount: Amount | None) -> float:
    """Return the grams of an amount of a packaged product; its label's portion where nothing was said."""
    if amount is None or amount.vague:
        return product.grams
    unit = amount.unit
    if unit in TAGS.exact_units | TAGS.volume_units:
        return amount.value * ROUGH_GRAMS[unit]
    each = product.grams / product.count
    if unit and UNITS.get(product.unit) == unit:
        return amount.value * each
    if unit in _MEASURE_G and not product.unit:
        return amount.value * _MEASURE_G[unit]
    counts_pieces = product.unit and UNITS.get(product.unit, "piece") in TAGS.pieces
    return amount.value * (each if counts_pieces and unit in TAGS.pieces | {""} else product.grams)


def write_offers(offers: Sequence[Offer]) -> list[dict[str, object]]:
    """Return offers as JSON values."""
    return [
        {
            "food": offer.food,
            "grams": round(offer.grams, 1),
            **{name: None if v is None else round(v, 2) for name, v in _held(offer.nutrients).items()},
        }
        for offer in offers
    ]


def _held(nutrients: Nutrients) -> dict[str, float | None]:
    return {name: getattr(nutrients, name) for name in Nutrients.__slots__}
