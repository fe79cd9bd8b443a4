"""Groups of foods by the category that the composition table gives them."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bot.foodtable import Match

if TYPE_CHECKING:
    from bot.understanding.foods import Said

# Beginnings of the composition table's categories.
_DRINKS: tuple[str, ...] = ("Coffee", "Tea", "Beer", "Wine", "Liquor", "Soft drinks", "Diet soft", "Fruit drinks")
_DRINKS += ("Milk", "Plant-based milk", "Flavored", "Tap water", "Enhanced water", "Sport", "Diet sport", "Smoothies")
_INTO_DRINKS = ("Sugars", "Sugar substitutes", "Cream and")
_NIBBLES: tuple[str, ...] = ("Apples", "Bananas", "Pears", "Grapes", "Citrus fruits", "Other fruits", "Peaches")
_NIBBLES += ("Strawberries", "Blueberries", "Pineapple", "Melons", "Mango", "Dried fruits", "Nuts and seeds")
_NIBBLES += ("Cookies", "Candy", "Potato chips", "Popcorn", "Pretzels", "Cereal bars", "Nutrition bars")
_NIBBLES += ("Ice cream", "Cakes", "Sweets")
_MILKY = frozenset(
    {"latte", "cappuccino", "flat white", "cortado", "mocha", "chai", "unsweetened chai", "chai latte", "oat latte"}
    | {"coffee with milk", "iced latte", "flavoured latte", "frappe", "bubble tea", "hot chocolate", "malted milk"}
)
_BESIDE_BAKED_BEANS = frozenset(
    {"toast", "wholemeal toast", "baked potato", "sausage", "fried egg", "bacon", "hash brown", "chips", "fish finger"}
)
_STEWED = frozenset(
    {"sauerkraut", "beef stew", "goulash", "pork", "pork chop", "pork belly", "red cabbage", "gravy", "duck"}
    | {"beef in cream sauce", "schnitzel", "goulash soup", "cabbage", "beef", "roast dinner"}
)


def is_nibble(foods: "list[Said]") -> bool:
    """Tell whether foods are only fruit, nuts, sweets and the like."""
    return bool(foods) and all(
        food.match is not None and food.match.food.category.startswith(_NIBBLES) for food in foods
    )


def is_drink(foods: "Sequence[Said]") -> bool:
    """Tell whether foods are a drink and at most what goes into it."""
    kinds = ["" if food.match is None else food.match.food.category for food in foods if not food.is_extra]
    drinks = [kind.startswith(_DRINKS) or kind.endswith("juice") for kind in kinds]
    return any(drinks) and all(
        drink or kind.startswith(_INTO_DRINKS) for drink, kind in zip(drinks, kinds, strict=True)
    )


def is_tea_or_coffee(match: Match | None) -> bool:
    """Tell whether it is a drink that people put milk and sugar in."""
    return match is not None and (match.food.category.startswith(("Coffee", "Tea")) or match.entry in _MILKY)


def is_milky_drink(match: Match | None) -> bool:
    """Tell whether milk is already in it: a latte, not a black coffee."""
    return match is not None and match.entry in _MILKY


def is_milk(match: Match | None) -> bool:
    """Tell whether it is milk, or plant milk, plain."""
    return match is not None and match.food.category.startswith(("Milk", "Plant-based milk"))


def is_beside_baked_beans(match: Match | None) -> bool:
    """Tell whether "beans" beside it are baked beans: toast, a jacket potato, sausages, fried eggs."""
    return match is not None and match.entry in _BESIDE_BAKED_BEANS


def is_stewed(match: Match | None) -> bool:
    """Tell whether it is a dish that flour dumplings are eaten with."""
    return match is not None and match.entry in _STEWED
