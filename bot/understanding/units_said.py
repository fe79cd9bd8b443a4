"""Units and sizes as people say them -> the names that the food table uses."""

# What each canonical unit is called; the table knows how much one of them weighs for a food.
_NAMES = {
    "g": "g gr gs gram grams gramme grammes gm gms",
    "kg": "kg kgs kilo kilos kilogram kilograms",
    "oz": "oz ounce ounces ozs",
    "lb": "lb lbs pound pounds",
    "ml": "ml mls millilitre millilitres milliliter milliliters",
    "dl": "dl decilitre decilitres deciliter deciliters",
    "cl": "cl centilitre centilitres centiliter centiliters",
    "l": "l litre litres liter liters ltr",
    "floz": "floz",
    "pint": "pint pints",
    "cup": "cup cups cupful cupfuls c",
    "tbsp": "tbsp tbsps tbs tbl tblsp el tablespoon tablespoons tablespoonful tablespoonfuls",
    "tsp": "tsp tsps tl teaspoon teaspoons teaspoonful teaspoonfuls",
    "dsp": "dsp dessertspoon dessertspoons dessertspoonful spoon spoons spoonful spoonfuls spoonsful",
    "piece": "piece pieces pc pcs square squares cube cubes",
    "slice": "slice slices round rounds sliver slivers",
    "bowl": "bowl bowls bowlful katori",
    "plate": "plate plates plateful",
    "glass": "glass glasses",
    "mug": "mug mugs",
    "tin": "tin tins",
    "jar": "jar jars",
    "handful": "handful handfuls fistful fistfuls",
    "scoop": "scoop scoops",
    "stick": "stick sticks",
    "clove": "clove cloves",
    "fillet": "fillet fillets filet filets",
    "portion": "portion portions serving servings helping helpings",
    "rasher": "rasher rashers strip strips",
    "pot": "pot pots tub tubs",
    "bottle": "bottle bottles",
    "can": "can cans",
    "bar": "bar bars",
    "sachet": "sachet sachets packet packets pack packs bag bags",
}
UNITS = {name: unit for unit, names in _NAMES.items() for name in names.split()}

EXACT_UNITS = frozenset({"g", "kg", "oz", "lb"})
VOLUME_UNITS = frozenset({"ml", "dl", "cl", "l", "floz", "pint"})

# Loose measures as so many of an exact one; common practice, no source, so their range is wide.
LOOSE_UNITS: dict[str, tuple[float, str]] = {
    "splash": (2, "tbsp"),
    "dash": (1, "tbsp"),
    "drop": (1, "tsp"),
    "drizzle": (2, "tsp"),
    "dollop": (1, "tbsp"),
    "blob": (1, "tbsp"),
    "squirt": (1, "tbsp"),
    "squeeze": (2, "tsp"),
    "knob": (2, "tsp"),
    "scrape": (1, "tsp"),
    "scraping": (1, "tsp"),
    "sprinkle": (1, "tsp"),
    "sprinkling": (1, "tsp"),
    "pinch": (1 / 16, "tsp"),
}

# Lengths of time, distances, glucose, energy: recognised so that they are not taken for amounts of food.
OTHER_UNITS = {
    "min": "min",
    "mins": "min",
    "minute": "min",
    "minutes": "min",
    "m": "min",
    "h": "h",
    "hr": "h",
    "hrs": "h",
    "hour": "h",
    "hours": "h",
    "km": "km",
    "k": "km",
    "kms": "km",
    "kilometre": "km",
    "kilometres": "km",
    "kilometer": "km",
    "kilometers": "km",
    "mile": "mile",
    "miles": "mile",
    "metres": "metre",
    "meters": "metre",
    "steps": "step",
    "mmol/l": "mmol/L",
    "mmol": "mmol/L",
    "mmols": "mmol/L",
    "mg/dl": "mg/dL",
    "mgdl": "mg/dL",
    "mg": "mg",
    "kcal": "kcal",
    "calories": "kcal",
    "cals": "kcal",
}

SIZES = {
    "small": "small",
    "little": "small",
    "tiny": "small",
    "mini": "small",
    "medium": "medium",
    "med": "medium",
    "lil": "small",
    "average": "medium",
    "normal": "medium",
    "large": "large",
    "big": "large",
    "huge": "large",
    "massive": "large",
    "thin": "thin",
    "thick": "thick",
    "heaped": "heaped",
    "heaping": "heaped",
    "rounded": "heaped",
    "level": "level",
}

# Units that are also foods or words of their own count as units only before "of" or after a number.
AMBIGUOUS_UNITS = frozenset(
    {"can", "bar", "stick", "pot", "round", "pound", "pack", "bag", "drop", "dash", "l"}
)
