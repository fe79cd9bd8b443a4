"""Groups of foods by the category that the composition table gives them."""

from collections.abc import Sequence
from functools import cache
from operator import or_

from bot.foodtable import Match
from bot.understanding.foods.said import Said

# Beginnings of the composition table's categories.
_DRINKS = (
    "Coffee|Tea|Beer|Wine|Liquor|Soft drinks|Diet soft|Fruit drinks|Milk|Plant-based milk|Flavored|Tap water|"
    "Enhanced water|Sport|Diet sport|Smoothies"
)
_INTO_DRINKS = "Sugars|Sugar substitutes|Cream and"
_NIBBLES = (
    "Apples|Bananas|Pears|Grapes|Citrus fruits|Other fruits|Peaches|Strawberries|Blueberries|Pineapple|"
    "Melons|Mango|Dried fruits|Nuts and seeds|Cookies|Candy|Potato chips|Popcorn|Pretzels|Cereal bars|"
    "Nutrition bars|Ice cream|Cakes|Sweets|Crackers"
)
_GROUPS = (
    "Apples|Bananas|Pears|Grapes|Citrus fruits|Other fruits|Peaches|Strawberries|Blueberries|Pineapple|"
    "Melons|Mango|Dried fruits",
    _DRINKS,
    "Beef|Pork|Lamb|Chicken|Turkey|Fish|Shellfish|Ground beef|Bacon|Sausages|Cold cuts",
    "Yeast breads|Rolls and buns|Bagels|Tortillas|Biscuits",
    "Rice|Pasta, noodles|White potatoes|Mashed potatoes|French fries|Other starchy",
    "Cookies|Candy|Cakes|Doughnuts|Ice cream",
    "Jams|Sugars and honey",
    "Butter|Margarine",
)
# Dishes that may have what is in them named behind them ("3 baozi pork"), those that have it named before
# them, and what may be in them.
_FILLED = "Egg rolls|Burritos|Deli|Chicken fillet sand|Pizza|Turnover|Other Mex"
_DISHES = (
    f"{_FILLED}|Cheese sand|Seafood sand|Egg/break|Burgers|Meat and BBQ sand|Soup|Stir-fry|Fried rice|"
    "Rice mixed|Pasta mixed|Meat mixed|Poultry mixed|Cakes|Eggs and omelets|Vegetable dishes|Doughnuts|"
    "Coleslaw|Pancakes|Ramen|Lettuce and lett|Pasta sauces"
)
_FILLINGS = (
    "Beef|Pork|Lamb|Chicken|Turkey|Ground|Fish|Shellfish|Egg|Cold cuts|Sausages|Bacon|Cheese|Other veg|"
    "Vegetables|Spinach|Mushroom|Beans|Onions|Tomatoes|Broccoli|Cabbage|Carrots|Other red|Other dark|"
    "Soy and|Apples|Olives|Mayonnaise|Potato chips|Pickl|Peanut butter|Jams"
)
_HEARTY = (
    "Pizza|Burgers|Pasta mixed|Macaroni|Curry|Stir-fry|Meat mixed|Poultry mixed|Beer|Wine|Liquor|Beef|Lamb|"
    "Chicken|Fried rice|Lasagna"
)
# Names of everyday foods.
_MILKY = (
    "latte|cappuccino|flat white|cortado|mocha|chai|unsweetened chai|chai latte|oat latte|coffee with milk|"
    "iced latte|flavoured latte|chai tea latte|cafe con leche|caffellatte|frappe|bubble tea|"
    "hot chocolate|malted milk"
)
_BESIDE_BAKED_BEANS = (
    "toast|wholemeal toast|baked potato|sausage|fried egg|bacon|hash brown|chips|fish finger"
)
_STEWED = (
    "sauerkraut|beef stew|goulash|pork|pork chop|pork belly|red cabbage|gravy|duck|svickova|schnitzel|"
    "goulash soup|cabbage|beef|roast dinner"
)


def _begins(match: Match | None, beginnings: str) -> bool:
    return match is not None and match.food.category.startswith(_split(beginnings))


def are_kin(a: Match | None, b: Match | None) -> bool:
    """Tell whether one food may stand where the other does: two fruits, two drinks, two kinds of bread."""
    return any(_begins(a, group) and _begins(b, group) for group in _GROUPS)


def lies_on_bread(match: Match | None) -> bool:
    """Tell whether a dish has its bread in it: a sandwich, a toastie, a burger."""
    return _begins(
        match, "Deli|Chicken fillet sand|Cheese sand|Seafood sand|Egg/break|Meat and BBQ sand|Burgers"
    )


def _is_one_of(match: Match | None, names: str) -> bool:
    return match is not None and match.entry in _split(names)


@cache
def _split(names: str) -> tuple[str, ...]:
    return tuple(names.split("|"))


def dish_of_many(foods: Sequence[Match]) -> Match | None:
    """Return which of the foods named in a row is a dish with the others in it, None for several."""
    first, last = foods[0], foods[-1]
    plain_egg = last.food.description.startswith("Egg, whole")
    if _begins(last, _DISHES) and not plain_egg and all(_begins(food, _FILLINGS) for food in foods[:-1]):
        return last
    return first if _begins(first, _FILLED) and all(_begins(food, _FILLINGS) for food in foods[1:]) else None


def is_nibble(foods: "Sequence[Said]") -> bool:
    """Tell whether foods are only fruit, nuts, sweets and the like."""
    nibbles = [_begins(food.match, _NIBBLES) for food in foods]
    return any(nibbles) and all(n or is_drinkable(food.match) for n, food in zip(nibbles, foods, strict=True))


def is_cereal(foods: "Sequence[Said]") -> bool:
    """Tell whether one of the foods is eaten at breakfast: porridge, muesli, cereal."""
    named = {"porridge", "oatmeal", "oats", "muesli", "granola", "cereal", "cornflakes"}
    return any(
        _begins(food.match, "Oatmeal|Ready-to-eat|Grits and") or named & set(food.words) for food in foods
    )


def is_hearty(foods: "Sequence[Said]") -> bool:
    """Tell whether something is eaten or drunk that hardly anybody has for breakfast: pizza, curry, beer."""
    return any(_begins(food.match, _HEARTY) for food in foods)


def is_drink(foods: "Sequence[Said]") -> bool:
    """Tell whether foods are a drink and at most what goes into it."""
    drinks = [is_drinkable(food.match) for food in foods if not food.is_extra]
    others = [_begins(food.match, _INTO_DRINKS) for food in foods if not food.is_extra]
    return any(drinks) and all(map(or_, drinks, others))


def is_drinkable(match: Match | None) -> bool:
    """Tell whether it is a drink."""
    return _begins(match, _DRINKS) or (match is not None and match.food.category.endswith("juice"))


def goes_into_drinks(match: Match | None) -> bool:
    """Tell whether it is had in a drink rather than by itself: sugar, cream, milk."""
    return _begins(match, f"{_INTO_DRINKS}|Milk")


def is_tea_or_coffee(match: Match | None) -> bool:
    """Tell whether it is a drink that people put milk and sugar in."""
    return _begins(match, "Coffee|Tea") or is_milky_drink(match)


def is_milky_drink(match: Match | None) -> bool:
    """Tell whether milk is already in it: a latte, not a black coffee."""
    return _is_one_of(match, _MILKY)


def is_milk(match: Match | None) -> bool:
    """Tell whether it is milk, or plant milk, plain."""
    return _begins(match, "Milk|Plant-based milk")


def is_beside_baked_beans(match: Match | None) -> bool:
    """Tell whether "beans" beside it are baked beans: toast, a jacket potato, sausages, fried eggs."""
    return _is_one_of(match, _BESIDE_BAKED_BEANS)


def is_stewed(match: Match | None) -> bool:
    """Tell whether it is a dish that flour dumplings are eaten with."""
    return _is_one_of(match, _STEWED)


def is_spirit(match: Match | None) -> bool:
    """Tell whether it is a drink that is had by the measure."""
    return _begins(match, "Liquor")


def is_eaten_by_piece(match: Match) -> bool:
    """Tell whether people count it, so that one named as one is one: an egg, a sausage, a roll."""
    return _begins(
        match,
        "Egg|Sausages|Frankf|Rolls|Bagels|Doughnuts|Biscuits|Tortillas|Cookies|Crackers|Burgers|Pancakes",
    )


def is_meat_dish(match: Match | None) -> bool:
    """Tell whether it is a dish that is mostly meat: a stew, a curry."""
    return _begins(match, "Meat mixed|Poultry mixed|Stew|Chicken, whole")


def is_meat(match: Match | None) -> bool:
    """Tell whether it is meat by itself."""
    return _begins(match, "Beef|Pork|Lamb|Chicken|Turkey|Duck|Ground|Liver")


def is_fruit(match: Match | None) -> bool:
    """Tell whether it is fruit, which may only name a flavour."""
    return _begins(
        match,
        "Apples|Bananas|Pears|Grapes|Citrus fruits|Other fruits|Peaches|Strawberries|Blueberries|Pine|Mango",
    )


def is_flavoured(match: Match | None) -> bool:
    """Tell whether it comes in flavours: a drink, yoghurt, ice cream, a sweet, a bar."""
    return _begins(
        match,
        "Soft drinks|Diet soft|Fruit drinks|Sport|Diet sport|Yogurt|Ice cream|Candy|Nutrition bars|"
        "Cereal bars|Gelatins|Milk shakes|Enhanced water|Smoothies|Cakes and|Cookies|Biscuits|Doughnuts|"
        "Popcorn|Pancakes|Bagels|Rice mixed|Pudding",
    )


def is_flavour(match: Match | None) -> bool:
    """Tell whether it may only name a flavour: fruit, nuts, chocolate, honey; greens in a smoothie."""
    return is_fruit(match) or _begins(
        match,
        "Nuts and|Candy|Sugars and|Jams|Blueberries|Spinach|Other dark|Peanut butter|Mango|Dried fruits",
    )


def is_seasoning(match: Match | None) -> bool:
    """Tell whether it names how meat or a vegetable was made: a dressing, a sauce, honey, spirits."""
    return _begins(
        match,
        "Salad dressings|Liquor|Mustard|Tomato-based|Soy-based|Sugars and|Dips|Jams|Citrus fruits|Mayonnaise",
    )


def is_taste(match: Match | None) -> bool:
    """Tell whether it may name the taste of what is sold ready made: fruit, chocolate, a sauce, cheese."""
    return is_flavour(match) or is_seasoning(match) or _begins(match, "Cheese")


def is_grain(match: Match | None) -> bool:
    """Tell whether it is a grain or a pulse, which things baked dry are named after: "lentil crisps"."""
    return _begins(match, "Rice|Cereal Grains|Pasta, noodles, cooked|Beans|Corn|Oatmeal|Legumes")


def is_seasoned(match: Match | None) -> bool:
    """Tell whether it is what a sauce is named with: meat, fish, wings, nuggets, tofu."""
    return is_meat(match) or _begins(match, "Fish|Shellfish|Chicken|Poultry|Soy and|Sausages|Nuts and")


def is_soup(match: Match | None) -> bool:
    """Tell whether it is a soup."""
    return _begins(match, "Soup|Ramen")


def is_soup_filling(match: Match | None) -> bool:
    """Tell whether it may swim in a soup: a vegetable, tofu, an egg, meat; no bread."""
    return _begins(match, f"{_FILLINGS}|White potatoes|Other starchy|Corn|Rice|Pasta|String|Soups, veg")


def is_spread(match: Match | None) -> bool:
    """Tell whether it goes on or over something and is not counted: butter, jam, cream, a sauce."""
    return _begins(
        match,
        "Butter|Margarine|Jams|Sugars and|Cream|Cheese|Nuts and|Pudding|Dips|Tomato-based|Mayonnaise|Mustard|"
        "Salad dressings|Peanut butter",
    )


def is_folded(match: Match | None) -> bool:
    """Tell whether it is a dish in a tortilla: a taco, a burrito, a quesadilla."""
    return _begins(match, "Burritos|Other Mex")


def is_vegetable(match: Match | None) -> bool:
    """Tell whether it is a vegetable or a pulse that may be cooked as a dish of its own."""
    return _begins(
        match,
        "Other veg|Vegetables|Spinach|Mushroom|Beans|Onions|Tomatoes|Broccoli|Cabbage|Carrots|Other|String",
    )


def is_biscuit(match: Match | None) -> bool:
    """Tell whether it is small and yet had one by one: a biscuit, a cracker."""
    return _begins(match, "Cookies|Crackers")


def is_sugar(match: Match | None) -> bool:
    """Tell whether it is sugar: a spoon of it is the one for a cup."""
    return match is not None and match.food.description.startswith("Sugar,")


def is_served_by_spoon(match: Match | None) -> bool:
    """Tell whether a spoon of it is one that food is served with, not one for sugar: rice, beans, stew."""
    return _begins(
        match,
        "Rice|Pasta|Grits|Cereal Grains|Beans|Bean, pea|Soup|Stew|Curry|Meat mixed|Poultry mixed|Mashed|"
        "Other starchy|Vegetable|Coleslaw|White potatoes|Macaroni|Turnovers|Stir-fry|Fried rice|Other veg",
    )


def is_filling(match: Match | None) -> bool:
    """Tell whether it is what goes into a sandwich, a pie or an omelette."""
    return _begins(match, _FILLINGS)


def is_bread(match: Match | None) -> bool:
    """Tell whether it is bread, rolls or toast."""
    return _begins(match, "Yeast breads|Rolls|Bagels|Breads|Tortillas")


def is_sandwich(match: Match | None) -> bool:
    """Tell whether it is a sandwich, with its bread counted in."""
    return _begins(
        match,
        "Deli|Cheese sand|Seafood sand|Egg/break|Meat and BBQ sand|Chicken fillet sand|Peanut "
        "butter and j|Other sand|Vegetable sand",
    )


def is_plateful(match: Match | None) -> bool:
    """Tell whether it is a dish that is weighed with what is in it: soup, stew, curry, pasta, risotto."""
    return _begins(
        match, "Soup|Stew|Curry|Pasta|Rice mixed|Stir-fry|Meat mixed|Poultry mixed|Bean, pea|Beans"
    )


def is_cracker(match: Match | None) -> bool:
    """Tell whether it is crackers or crispbread."""
    return _begins(match, "Crackers|Saltine")


def is_topping(match: Match | None) -> bool:
    """Tell whether it lies on bread or cereal rather than fill a plate: tomatoes, berries, cottage cheese."""
    return _begins(match, "Cottage|Blueberries|Strawberries|Tomatoes|Other veg|Lettuce")


def is_burger(match: Match | None) -> bool:
    """Tell whether it is a burger with its bun."""
    return _begins(match, "Burgers|Chicken fillet sand|Vegetable sand|Fish sand|Seafood sand")


def is_mash(match: Match | None) -> bool:
    """Tell whether it is potatoes mashed, alone or with vegetables."""
    return _begins(match, "Mashed")


def is_dish(match: Match) -> bool:
    """Tell whether it is a dish that may bear a name behind it: "pizza diavola", "risotto primavera"."""
    return _begins(match, f"{_DISHES}|Pasta|Rice|Macaroni|Curry")
