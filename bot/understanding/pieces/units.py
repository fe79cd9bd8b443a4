"""Units and sizes as people say them -> the names that the food table uses."""

from bot.understanding.words.lexicon import TAGS, meanings

UNITS: dict[str, str] = meanings("unit")

ROUGH_GRAMS = {"g": 1, "kg": 1000, "oz": 28, "lb": 454, "ml": 1, "dl": 100, "cl": 10, "l": 1000} | {
    "floz": 29,
    "pint": 500,
}
"""Grams of one of them to the nearest whole, for telling a little from a lot."""

SPOON_KINDS: dict[str, str] = meanings("spoon")

LOOSE_UNITS = {
    word: (float(many), unit)
    for word, (many, unit) in ((word, said.split()) for word, said in meanings("loose_unit").items())
}

OTHER_UNITS: dict[str, str] = meanings("other_unit")

SIZES: dict[str, str] = meanings("size")


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
