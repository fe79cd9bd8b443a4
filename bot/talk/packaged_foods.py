"""Packaged products, looked up when asked for by name; the one chosen becomes a word of the person's own."""

import re

from bot.foodtable.products import Product, find_products, product_at
from bot.model.entries import Correction, Item
from bot.model.messages import Button, Outgoing
from bot.reply import numbers, words
from bot.store import Person
from bot.talk.heard import Heard
from bot.talk.own_words import teach
from bot.understanding.foods.own_table import MARK

PRODUCT = "product"
"""What the button under a product stands for, before its place in the data and the name it gets."""
MOST_NAME_BYTES = 40
"""A name must go into the data of a button (64 bytes)."""
_HOW = "Write /product and its name, like “/product oat bar”."
_LABEL = "from its label: “my bar: 60 g, 21 g carbs, 15 g protein, 9 g fat”"


def look_up(person: Person, said: str) -> Outgoing:
    """Answer with the packaged products of a name, each with a button that makes it a word."""
    name = " ".join(re.findall(r"[^\W_]+(?:['’-][^\W_]+)*", said.lower()))
    if not name:
        return Outgoing(person.id, _HOW)
    if len(name.encode()) > MOST_NAME_BYTES:
        return Outgoing(person.id, "That name is too long: two or three of its words are enough.")
    found = find_products(name)
    if not found:
        return Outgoing(
            person.id,
            f"I know no packaged food with all the words of “{name}”: try fewer, or teach it {_LABEL}.",
        )
    lines = [f"{k}. {_describe(product)}" for k, product in enumerate(found, start=1)]
    buttons = [Button(str(k), f"{PRODUCT}:{p.place},{name}") for k, p in enumerate(found, start=1)]
    lines.append(
        "Labels from the USA, as they once were: compare yours. Press the one that is your "
        f"“{name}”, or teach it {_LABEL}."
    )
    return Outgoing(person.id, "\n".join(lines), buttons=tuple(buttons))


def press_product(heard: Heard, data: str) -> Outgoing | None:
    """Keep the product that a button names as a word; None when the data no longer hold it there."""
    place, _, name = data.partition(",")
    product = product_at(int(place)) if re.fullmatch(r"[0-9]{1,12}", place) else None
    if product is None or not name:
        return None
    item = Item(
        name, name, name + MARK, product.grams, product.grams, product.grams, True, 1.0, product.nutrients
    )
    return teach(heard, Correction("teach", (item,), name=name), None)


def _describe(product: Product) -> str:
    held = words.held_in(product.nutrients)
    return f"{product.name}: {numbers.grams(product.grams)} holds {held}."
