"""From "one large slice" to grams, for a food whose everyday entry or category is known."""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files

from bot.foodtable.everyday import PRACTICE, Everyday, Weight, read_measures, read_weight
from bot.foodtable.portions import portions_of, unsaid_portion

_MASS_G = {"g": 1.0, "kg": 1000.0, "oz": 28.35, "lb": 453.6}

# Millilitres. The cup is the US cup of 236.6 ml that USDA weights are for; tea- and tablespoons are metric.
_CUP_ML, _FLOZ_ML = 236.6, 29.57
_EXACT_ML = {"ml": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0, "floz": 29.0}
_MEASURE_ML = {"cup": _CUP_ML, "tsp": 5.0, "dsp": 10.0, "tbsp": 15.0}
_SPOONS = frozenset({"tsp", "dsp", "tbsp"})

# (usual, least, most) millilitres; a pint is 473 ml in the US and 568 ml in the UK. Common practice.
_VESSEL_ML = {"glass": (200.0, 150.0, 300.0), "mug": (250.0, 200.0, 350.0), "pint": (568.0, 473.0, 568.0)}
_DRINK_ML = {"bottle": (500.0, 330.0, 750.0), "can": (330.0, 250.0, 500.0), "bowl": (300.0, 200.0, 450.0)}
_TUB_ML, _LEAST_PLATE_G = (400.0, 250.0, 600.0), 150.0
"""A tub or carton that a plateful is taken away in; common practice."""
_LIQUID_DENSITY, _LEAST_DENSITY = 0.9, 0.2

# How far one of it may lie from the figure when the table says no range, as a share. Common practice.
_SPREAD = {"cup": 0.1, "tin": 0.1, "can": 0.1, "jar": 0.1, "bowl": 0.35, "plate": 0.35, "handful": 0.4}
_OTHER_SPREAD = 0.25
_SIZED_SPREAD = 0.15

# What a size does to the plain figure when the table has none of its own. Common practice.
_SIZE = {"small": 0.75, "thin": 0.75, "level": 1.0, "medium": 1.0, "large": 1.3, "thick": 1.35, "heaped": 1.5}


@dataclass(frozen=True, slots=True)
class Household:
    """What is known about the weights of one food, from its everyday entry or only its category."""

    measures: Mapping[tuple[str, str], Weight]
    portion: Weight
    density: float | None

    def weigh(self, unit: str, size: str = "") -> Weight | None:
        """Return the grams of one `unit` of that size, or None where it makes no sense for this food."""
        if unit in _MASS_G:
            return _exactly(_MASS_G[unit], "weight")
        stated = self.measures.get((unit, size))
        if stated is not None:
            return self._give_range(stated, unit, size)
        plain = self.measures.get((unit, "")) or self._by_volume(unit)
        if unit == "portion" and plain is None:
            plain = self.portion
        if plain is None or unit in _EXACT_ML:
            return plain
        if not size:
            return self._give_range(plain, unit, "")
        return _within(plain.grams * _SIZE.get(size, 1.0), _SIZED_SPREAD, plain.source)

    def _give_range(self, weight: Weight, unit: str, size: str) -> Weight:
        """Return the weight with the range that the table left out: its small and large one, or a share."""
        if weight.low < weight.high:
            return weight
        if size:
            return _within(weight.grams, _SIZED_SPREAD, weight.source)
        wide = _within(weight.grams, _SPREAD.get(unit, _OTHER_SPREAD), weight.source)
        small, large = self.measures.get((unit, "small")), self.measures.get((unit, "large"))
        low = min(weight.grams, small.grams) if small else wide.low
        high = max(weight.grams, large.grams) if large else wide.high
        return Weight(weight.grams, low, high, weight.source)

    def _by_volume(self, unit: str) -> Weight | None:
        density = self._grams_per_ml()
        if density is None:
            return None
        if density < _LEAST_DENSITY:  # what is mostly air is measured on no scale of ml, but heaped on spoons
            heap_ml = _MEASURE_ML[unit] * _SIZE["heaped"] if unit in _SPOONS else None
            return None if heap_ml is None else _exactly(heap_ml * density, PRACTICE)
        if unit in _EXACT_ML:
            return _exactly(_EXACT_ML[unit] * density, "volume")
        if unit in _MEASURE_ML:
            return _exactly(_MEASURE_ML[unit] * density, PRACTICE)
        if unit == "pot" and self.portion.grams >= _LEAST_PLATE_G:
            usual, least, most = _TUB_ML
            return Weight(usual * density, least * density, most * density, PRACTICE)
        vessels = _VESSEL_ML | _DRINK_ML if density >= _LIQUID_DENSITY else _VESSEL_ML
        if unit not in vessels:
            return None
        usual, least, most = vessels[unit]
        return Weight(usual * density, least * density, most * density, PRACTICE)

    def _grams_per_ml(self) -> float | None:
        if self.density is not None and ("floz", "") not in self.measures:
            return self.density
        for unit, ml in (("floz", _FLOZ_ML), ("cup", _CUP_ML), ("tbsp", _MEASURE_ML["tbsp"])):
            if (unit, "") in self.measures:
                return self.measures[(unit, "")].grams / ml
        return None


_SHAPES = frozenset((unit, "") for unit in ("piece", "slice", "whole", "fillet"))


def of_entry(entry: Everyday) -> Household:
    """Return the household weights of an everyday food; units that its line lacks are those of the survey.

    A name counted as another food has that food's cup at most: one of it may weigh what it likes.
    """
    shaped = bool(entry.measures.keys() & _SHAPES) or entry.assumed.startswith("counted as")
    own = {unit for unit, _ in entry.measures} | ({unit for unit, _ in _SHAPES} if shaped else set())
    if entry.density is not None:
        own |= {"floz", "cup", "tbsp", "tsp"}
    more = {key: one for key, one in portions_of(entry.food).items() if key[0] not in own}
    return Household({**more, **entry.measures}, entry.portion, entry.density)


def of_surveyed(description: str, category: Household) -> Household:
    """Return the household weights of a food without everyday name: the survey's, then its category's."""
    known = portions_of(description)
    portion = unsaid_portion(description) or category.portion
    return Household({**category.measures, **known}, portion, category.density)


def _exactly(grams: float, source: str) -> Weight:
    return Weight(grams, grams, grams, source)


def _within(grams: float, share: float, source: str) -> Weight:
    return Weight(grams, grams * (1 - share), grams * (1 + share), source)


class Categories:
    """Household weights of foods of which only the category is known."""

    def __init__(self) -> None:
        text = (files("bot.foodtable") / "categories.txt").read_text(encoding="utf-8")
        self._lines = [
            [column.strip() for column in line.split("|")]
            for line in text.splitlines()
            if not line.startswith("#")
        ]
        self._known: dict[str, Household] = {}

    def of(self, category: str) -> Household:
        """Return the weights for the first line whose beginning fits the category."""
        if category not in self._known:
            measures, portion = next((m, p) for start, m, p in self._lines if category.startswith(start))
            density, weights = read_measures(measures)
            self._known[category] = Household(weights, read_weight(f"~{portion}"), density)
        return self._known[category]
