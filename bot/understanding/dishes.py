"""What a plate is as a whole: a dish with its ingredients, or nothing but a drink.

A dish said with its own ingredients is a title, not one more food: "porridge with 60 g oats and milk" is oats
and milk. A dish that was weighed itself ("300 g salad with an egg") stays a food.
"""

from bot.foodtable import FoodTable
from bot.understanding.foods import Said
from bot.understanding.units_said import EXACT_UNITS, VOLUME_UNITS

# The dish and what, said with it, is what the dish is made of.
_MADE_OF: dict[str, frozenset[str]] = {
    "porridge": frozenset({"oats", "oat", "oatmeal", "millet", "semolina"}),
    "oatmeal": frozenset({"oats"}),
    "muesli": frozenset({"oats"}),
    "omelette": frozenset({"egg", "eggs"}),
    "omelet": frozenset({"egg", "eggs"}),
    "sandwich": frozenset({"bread", "roll", "baguette", "bun", "toast", "bagel", "ciabatta"}),
    "toastie": frozenset({"bread", "toast"}),
    "toast": frozenset({"bread"}),
    "salad": frozenset(
        {"lettuce", "leaves", "spinach", "rocket", "cucumber", "quinoa", "couscous", "pasta", "potatoes"}
    ),
    "smoothie": frozenset(
        {"banana", "berries", "strawberries", "blueberries", "raspberries", "mango", "spinach", "milk"}
    ),
    "shake": frozenset({"milk", "banana"}),
    "wrap": frozenset({"tortilla", "wraps"}),
    "spaghetti": frozenset({"pasta"}),
    "bolognese": frozenset({"pasta", "spaghetti"}),
    "carbonara": frozenset({"pasta", "spaghetti"}),
    "pancakes": frozenset({"flour"}),
    "stir": frozenset({"noodles", "vegetables", "veg"}),
}
SURE = 0.9
_JOINS = frozenset({"with", ":", "(", "-", "=", "of"})


def drop_titles(foods: list[Said], table: FoodTable) -> list[Said]:
    """Leave out the dishes whose ingredients follow; what else their names hold ("ham sandwich") stays."""
    kept: list[Said] = []
    for n, food in enumerate(foods):
        rest = foods[n + 1 :]
        made_of = _made_of(food)
        if made_of and rest and rest[0].leads & _JOINS and any(made_of & set(f.words) for f in rest):
            kept += _rest_of_name(food, made_of, table)
        else:
            kept.append(food)
    return kept


def _made_of(dish: Said) -> frozenset[str]:
    if dish.amount is not None and dish.amount.unit in EXACT_UNITS | VOLUME_UNITS:
        return frozenset()
    return next((_MADE_OF[w] for w in reversed(dish.words) if w in _MADE_OF), frozenset())


def _rest_of_name(dish: Said, made_of: frozenset[str], table: FoodTable) -> list[Said]:
    words = [w for w in dish.words if w not in _MADE_OF and w not in made_of and w not in ("made", "fry")]
    match = table.match(" ".join(words)) if words else None
    if match is None or match.sure < SURE:
        return []
    return [Said(words, None, dish.start, dish.end, dish.leads, match)]


# Beginnings and endings of the composition table's categories.
_DRINKS: tuple[str, ...] = (
    "Coffee",
    "Tea",
    "Beer",
    "Wine",
    "Liquor",
    "Soft drinks",
    "Diet soft",
    "Fruit drinks",
    "Milk",
)
_DRINKS += ("Plant-based milk", "Flavored", "Tap water", "Enhanced water", "Sport", "Diet sport", "Smoothies")
_INTO_DRINKS = ("Sugars", "Sugar substitutes", "Cream and")
_NIBBLES: tuple[str, ...] = (
    "Apples",
    "Bananas",
    "Pears",
    "Grapes",
    "Citrus fruits",
    "Other fruits",
    "Peaches",
    "Strawberries",
)
_NIBBLES += (
    "Blueberries",
    "Pineapple",
    "Melons",
    "Mango",
    "Dried fruits",
    "Nuts and seeds",
    "Cookies",
    "Candy",
)
_NIBBLES += (
    "Potato chips",
    "Popcorn",
    "Pretzels",
    "Cereal bars",
    "Nutrition bars",
    "Ice cream",
    "Cakes",
    "Sweets",
)


def is_nibble(foods: list[Said]) -> bool:
    """Tell whether foods are only fruit, nuts, sweets and the like."""
    return bool(foods) and all(
        food.match is not None and food.match.food.category.startswith(_NIBBLES) for food in foods
    )


def is_drink(foods: list[Said]) -> bool:
    """Tell whether foods are a drink and at most what goes into it."""
    kinds = ["" if food.match is None else food.match.food.category for food in foods if not food.is_extra]
    drinks = [kind.startswith(_DRINKS) or kind.endswith("juice") for kind in kinds]
    return any(drinks) and all(
        drink or kind.startswith(_INTO_DRINKS) for drink, kind in zip(drinks, kinds, strict=True)
    )
