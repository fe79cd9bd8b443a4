"""Which foods somebody avoids, by what they said of themselves: foods by name, diets, intolerances. Pure.

What a diet leaves out is common knowledge, no source. A food is known by its words, so that a dish is kept
whose words do not tell what is in it.
"""

import re
from collections.abc import Iterable, Sequence

from bot.answers.sides import holds
from bot.model.entries import Fact

_MEAT = (
    r"beef|pork|ham|bacon|sausages?|lamb|mutton|veal|chicken|turkey|duck|goose|venison|meat\w*|salami|steaks?|"
    r"\w*burgers?|hot dogs?|frankfurters?|liver|gelatine?s?|schnitzel|pepperoni|chorizo|goulash|mince|"
    r"pastrami|prosciutto|meatballs?|wings|ribs|cold cuts?|bolognese"
)
_FISH = (
    r"\w*fish|salmon|tuna|cod|herring|sardines?|anchov\w+|trout|mackerel|haddock|tilapia|halibut|pollock|seafood|"
    r"sushi|eel|caviar|surimi"
)
_SHELLFISH = r"shellfish|shrimps?|prawns?|crabs?|lobsters?|mussels?|clams?|oysters?|squid|scallops?|calamari"
_DAIRY = (
    r"(?<!almond )(?<!oat )(?<!soy )(?<!rice )(?<!coconut )milk|\w*cheese|yogh?urts?|cream|ice cream|whey|"
    r"ghee|(?<!peanut )(?<!almond )(?<!cocoa )butter|latte|cappuccino|flat white|custard|quark|kefir|paneer|"
    r"mozzarella"
)
_EGGS = r"eggs?|omelett?es?|mayonnaise|meringues?|frittata|quiche"
_GLUTEN = (
    r"bread|toast|wheat|rye|barley|spelt|pasta|spaghetti|lasagna|macaroni|noodles?|couscous|bulgur|crackers?|"
    r"cookies?|biscuits?|cakes?|pizza|rolls?|buns?|bagels?|baguettes?|naan|pita|flour|beer|muesli|cereals?|"
    r"granola|pretzels?|past(?:ry|ries)|croissants?|pancakes?|waffles?|oats?|oatmeal|porridge|seitan|semolina|"
    r"sandwich\w*|muffins?|doughnuts?|pies?|ravioli|gnocchi|dumplings?|tortillas?|burgers?"
)
_ALCOHOL = (
    r"beers?|wines?(?! vinegar)|liquors?|vodka|whisk\w+|gin|rum|cocktails?|cider(?! vinegar)|sherry|prosecco|"
    r"champagne|spirits|tequila|brandy|aperol|spritz|sake|liqueurs?|alcohol\w*"
)
_PORK = r"pork|ham|bacon|gelatine?s?|prosciutto|pepperoni|chorizo|salami"
_NUTS = (
    r"nuts?|almonds?|walnuts?|cashews?|pecans?|hazelnuts?|pistachios?|peanuts?|macadamias?|praline|marzipan"
)
_FRUIT = (
    r"fruits?|apples?|pears?|mango\w*|grapes?|raisins?|dates?|(?:water)?melons?|cherr\w+|agave|honey|juices?|"
    r"figs?|prunes?|bananas?|oranges?|smoothies?|dried fruit"
)
_HISTAMINE = (
    rf"{_ALCOHOL}|tuna|mackerel|sauerkraut|spinach|tomato\w*|eggplant|aubergine|avocados?|strawberr\w+|salami|"
    r"cheddar|parmesan"
)
_GROUPS: dict[str, tuple[str, ...]] = {
    "vegetarian": (_MEAT, _FISH, _SHELLFISH), "veggie": (_MEAT, _FISH, _SHELLFISH),
    "pure veg": (_MEAT, _FISH, _SHELLFISH, _EGGS),
    "jain": (_MEAT, _FISH, _SHELLFISH, _EGGS, r"onions?|garlic|potato\w*|carrots?|beets?|radish\w*"),
    "vegan": (_MEAT, _FISH, _SHELLFISH, _EGGS, _DAIRY, "honey"),
    "plant based": (_MEAT, _FISH, _SHELLFISH, _EGGS, _DAIRY, "honey"),
    "pescatarian": (_MEAT,),
    "halal": (_PORK, _ALCOHOL), "kosher": (_PORK, _SHELLFISH),
    "gluten": (_GLUTEN,), "gluten free": (_GLUTEN,), "celiac": (_GLUTEN,), "coeliac": (_GLUTEN,),
    "dairy": (_DAIRY,), "dairy free": (_DAIRY,), "lactose": (_DAIRY,),
    "fructose": (_FRUIT,), "histamine": (_HISTAMINE,), "teetotal": (_ALCOHOL,), "alcohol": (_ALCOHOL,),
    "meat": (_MEAT,), "fish": (_FISH,), "shellfish": (_SHELLFISH,), "pork": (_PORK,),
    "nut": (_NUTS,), "nuts": (_NUTS,), "egg": (_EGGS,), "eggs": (_EGGS,),
}  # fmt: skip
_NO_GLUTEN = re.compile(r"gluten[- ]free")
_NO_DAIRY = re.compile(r"non-?dairy|dairy[- ]free|lactose[- ]free")
_FREE = {
    **dict.fromkeys(("gluten", "gluten free", "celiac", "coeliac"), _NO_GLUTEN),
    **dict.fromkeys(("dairy", "dairy free", "lactose"), _NO_DAIRY),
}
_TREATED = ("medicine", "pregnancy", "eating disorder", "health")


def find_avoided(facts: Sequence[Fact], foods: Iterable[tuple[str, Iterable[str]]]) -> frozenset[str]:
    """Return the foods that somebody avoids, and those with alcohol, which nobody is ever told to have.

    foods: each with its names, in the person's words

    >>> find_avoided([Fact("avoids", "lactose")], [("Oats", ["oats"]), ("Milk, whole", ["milk"])])
    frozenset({'Milk, whole'})
    """
    said = [part.strip() for fact in facts if fact.what == "avoids" for part in fact.value.split(",")]
    patterns = [_ALCOHOL, *(group for word in said for group in _GROUPS.get(word, ()))]
    found = re.compile("|".join(rf"\b(?:{pattern})\b" for pattern in patterns))
    free = [pattern for pattern in (_FREE.get(word) for word in said) if pattern is not None]

    def avoids(food: str, names: Iterable[str]) -> bool:
        text = " ".join([food, *names]).lower()
        for pattern in free:
            if pattern.search(text):
                return False
        return found.search(text) is not None or any(holds(text, word) for word in said)

    return frozenset(food for food, names in foods if avoids(food, names))


def is_treated(facts: Sequence[Fact]) -> bool:
    """Tell whether what somebody eats is also for whoever treats them: medicine, pregnancy, an illness."""
    return any(fact.what in _TREATED for fact in facts)
