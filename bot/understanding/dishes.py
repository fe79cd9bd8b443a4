"""What a plate is as a whole: a dish with its ingredients, or nothing but a drink.

A dish said with its own ingredients is a title, not one more food: "porridge with 60 g oats and milk" is oats
and milk. A dish that was weighed itself ("300 g salad with an egg") stays a food.
"""

from bot.understanding.foods import Said
from bot.understanding.units_said import EXACT_UNITS, VOLUME_UNITS
from bot.understanding.wordlists import word_set

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
_JOINS = frozenset({"with", ":", "(", "-", "=", "of"})


def drop_titles(foods: list[Said]) -> list[Said]:
    """Leave out the dishes whose ingredients follow them."""
    kept: list[Said] = []
    for n, food in enumerate(foods):
        rest = foods[n + 1 :]
        if rest and rest[0].leads & _JOINS and _is_title(food, rest):
            continue
        kept.append(food)
    return kept


def _is_title(dish: Said, rest: list[Said]) -> bool:
    if dish.amount is not None and dish.amount.unit in EXACT_UNITS | VOLUME_UNITS:
        return False
    made_of = next((_MADE_OF[w] for w in reversed(dish.words) if w in _MADE_OF), None)
    if made_of is None:
        return False
    # An ingredient that is already in the dish's own name ("oat porridge with oats") is still its ingredient.
    return any(made_of & set(food.words) for food in rest)


_DRINK = word_set(
    "coffee espresso latte cappuccino americano macchiato mocha tea cola coke lemonade juice water beer "
    "wine lager cider squash cordial soda tonic prosecco champagne gin vodka whisky whiskey rum cocoa "
    "chai matcha kombucha ale smoothie shake milkshake kefir milk"
)
_INTO_DRINKS = word_set("milk sugar cream sweetener honey lemon ice oat soy soya almond semi skimmed whole")


def is_drink(foods: list[Said]) -> bool:
    """Tell whether foods are a drink and at most what goes into it."""
    names = [food.words for food in foods if not food.is_extra]
    drinks = [words[-1].removesuffix("s") in _DRINK for words in names]
    return any(drinks) and all(
        drink or set(words) <= _INTO_DRINKS for drink, words in zip(drinks, names, strict=True)
    )
