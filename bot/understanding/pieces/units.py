"""Units and sizes as people say them -> the names that the food table uses."""

from bot.understanding.words.lexicon import TAGS

# What each canonical unit is called; the table knows how much one of them weighs for a food.
_NAMES = {
    "g": "g gr gs gram grams gramme grammes gm gms",
    "kg": "kg kgs kilo kilos kilogram kilograms",
    "oz": "oz ounce ounces ozs",
    "lb": "lb lbs pound pounds",
    "ml": "ml mls millilitre millilitres milliliter milliliters",
    "dl": "dl decilitre decilitres deciliter deciliters",
    "cl": "cl centilitre centilitres centiliter centiliters",
    "l": "l litre litres liter liters ltr lt lts",
    "floz": "floz",
    "pint": "pint pints",
    "cup": "cup cups cupful cupfuls c tasse tassen taza tazas fincan xícara xicara xicaras "
    "cangkir kopp kikombe",
    "tbsp": (
        "tbsp tbsps tbs tbl tblsp tblspn el esslöffel tablespoon tablespoons tablespoonful tablespoonfuls "
        "cucharada cucharadas msk rkl"
    ),
    "tsp": "tsp tsps tspn tl teelöffel teaspoon teaspoons teaspoonful teaspoonfuls "
    "cucharadita cucharaditas łyżeczka łyżeczki lyzeczka lyzeczki",
    "dsp": "dsp dessertspoon dessertspoons dessertspoonful",
    "spoon": (
        "spoon spoons spoonful spoonfuls spoonsful kaşık kasik łyżka łyżki lyzka lyzki cuchara cucharas "
        "löffel cuillère cuillères colher colheres lingura linguri sendok sudu kijiko vijiko sked skedar"
    ),
    "piece": (
        "piece pieces pc pcs square squares cube cubes nest nests chunk chunks floret florets strip strips "
        "spear spears stück stücke stk szt sztuki sztuka adet tane pieza piezas pza unidad unidades nos stuk "
        "styck stycken kpl ks kusy buc bucati bucata unidade pezzo pezzi biji keping ketul potong buah "
        "komad komada darab drb quả miếng cái lump lumps"
    ),
    "slice": "slice slices slc slcs slce slces round rounds wedge wedges scheibe scheiben "
    "tranche sneetje sneetjes "
    "tranches dilim rebanada rebanadas kromka kromki plasterek plasterki fetta fette "
    "fatia fatias felie felii skiva skivor skive skiver viipale viipaletta plátek plátky platky szelet "
    "kriška kriške hirisan",
    "bowl": "bowl bowls bowlful bowlfuls schüssel schale miska miski chawan kase cuenco bol "
    "tazón mangkok mangkuk tigela castron skål bakuli",
    "plate": "plate plates plateful platefuls teller talerz talerze tabak plato platos assiette "
    "prato pratos piring pinggan farfurie tallrik tallerken lautanen sahani piatto",
    "glass": "glass glasses tumbler tumblers goblet glas gläser vaso vasos verre szklanka szklanki "
    "bardak bicchiere copo copos pahar poharr sklenice gelas lasi",
    "mug": "mug mugs mugful becher kubek kubki",
    "tin": "tin tins",
    "jar": "jar jars",
    "handful": "handful handfuls fistful fistfuls handvoll puñado puñados garść garsc avuç poignée",
    "scoop": "scoop scoops",
    "stick": "stick sticks skewer skewers",
    "clove": "clove cloves",
    "fillet": "fillet fillets filet filets",
    "portion": "portion portions serving servings helping helpings portionen order orders porsiyon porción "
    "porcion porciones porcja porcje",
    "rasher": "rasher rashers",
    "pot": "pot pots tub tubs punnet punnets tupperware tupperwares lunchbox carton cartons "
    "container containers",
    "bottle": "bottle bottles flasche flaschen",
    "can": "can cans dose dosen",
    "bar": "bar bars",
    "sachet": "sachet sachets box boxes tray trays packet packets pack packs bag bags packung "
    "package packages pkg pkt pouch pouches "
    "bungkus",
}
_NAMES |= {
    "whole": "whole head heads rack racks",
    "loaf": "loaf loaves",
    "inch": "inch inches",
}
UNITS = {name: unit for unit, names in _NAMES.items() for name in names.split()}

ROUGH_GRAMS = {"g": 1, "kg": 1000, "oz": 28, "lb": 454, "ml": 1, "dl": 100, "cl": 10, "l": 1000} | {
    "floz": 29,
    "pint": 500,
}
"""Grams of one of them to the nearest whole, for telling a little from a lot."""

# What a spoon is by the word before it: "2 table spoons", "3 serving spoons".
SPOON_KINDS = {
    "table": "tbsp",
    "soup": "tbsp",
    "tea": "tsp",
    "dessert": "dsp",
    "serving": "servingspoon",
    "cooking": "servingspoon",
}

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
    "smear": (1, "tbsp"),
    "heel": (1, "slice"),
    "sliver": (0.5, "slice"),
    "bite": (15, "g"),
    "mouthful": (15, "g"),
    "sip": (15, "ml"),
    "gulp": (30, "ml"),
    "shot": (30, "ml"),
    "schooner": (0.75, "pint"),
    "stubby": (0.66, "pint"),
    "tinnie": (0.66, "pint"),
    "pump": (10, "ml"),
    "nip": (30, "ml"),
    "tot": (30, "ml"),
    "ladle": (120, "ml"),
    "ladleful": (120, "ml"),
    "katori": (150, "ml"),
    "katoris": (150, "ml"),
    "vati": (150, "ml"),
    "servingspoon": (4, "tbsp"),
    "gong": (1, "bowl"),
    "cm": (1 / 2.54, "inch"),
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
    "smallish": "small",
    "wee": "small",
    "teeny": "small",
    "modest": "small",
    "mid": "medium",
    "midsize": "medium",
    "decent": "medium",
    "biggish": "large",
    "largish": "large",
    "hefty": "large",
    "giant": "large",
    "enormous": "large",
    "ginormous": "large",
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
    "doorstep": "thick",
    "chunky": "thick",
    "xl": "large",
    "lrg": "large",
    "venti": "large",
    "grande": "medium",
    "tall": "small",
    "grosse": "large",
    "grosser": "large",
    "sml": "small",
    "generous": "large",
    "großer": "large",
    "große": "large",
    "großes": "large",
    "kleiner": "small",
    "kleine": "small",
    "kleines": "small",
    "sharing": "large",
    "family": "large",
    "jumbo": "large",
    "king": "large",
    "heaped": "heaped",
    "heaping": "heaped",
    "rounded": "heaped",
    "level": "level",
}

_SIZES_ELSEWHERE = {
    "small": "chico chica pequeño pequeña pequena pequeno küçük kucuk kecil mały mała liten lite",
    "medium": "mediano mediana",
    "large": "büyük buyuk besar kubwa duży duża veliki velika",
}
SIZES |= {word: size for size, words in _SIZES_ELSEWHERE.items() for word in words.split()}

_LEAST_LETTERS = 5


def _near_names() -> dict[str, str]:
    """Return the longer names with a letter left out or two changed, and the unit that was meant."""
    near: dict[str, str] = {}
    for name, unit in UNITS.items():
        for i in range(1, len(name)):
            for wrong in (name[:i] + name[i + 1 :], name[:i] + name[i : i + 2][::-1] + name[i + 2 :]):
                if len(wrong) >= _LEAST_LETTERS and wrong not in UNITS and wrong not in TAGS.no_units:
                    near.setdefault(wrong, unit)
    return near


_NEAR = _near_names()


def find_unit(word: str) -> str | None:
    """Return the unit a word means behind a number; a letter too many or too few, or two changed, will do."""
    unit = UNITS.get(word) or _NEAR.get(word)
    if unit is None and word.endswith("ed"):
        return None  # "sliced banana" is no slice of it
    if unit is not None or not _LEAST_LETTERS < len(word) < 16:
        return unit
    shorter = (word[:i] + word[i + 1 :] for i in range(1, len(word)))
    return next((UNITS[s] for s in shorter if s in UNITS and len(s) >= _LEAST_LETTERS), None)
