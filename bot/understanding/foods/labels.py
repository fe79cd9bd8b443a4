"""A food's own figures as people copy them from a packet: "60 g, 21 g carbs, 15 g protein, 9 g fat"."""

import re
from dataclasses import dataclass, replace

from bot.model.entries import Item, Nutrients
from bot.understanding.foods.own_table import MARK

_NUMBER = r"(\d{1,4}(?:[.,]\d{1,2})?)"
_NAMES: dict[str, str] = {
    "saturated_fat_g": r"(?:saturated fat|saturates|sat\.? fat|of which saturates)",
    "sugars_g": r"(?:of which )?sugars?",
    "fibre_g": r"(?:dietary )?fib(?:re|er)s?",
    "carbs_g": r"(?:(?:total|net|available) )?(?:carbs?|carbohydrates?)",
    "protein_g": r"proteins?",
    "fat_g": r"(?:total )?fats?",
}
# "30 g protein bar" is a food and no figure.
_NOT_FOOD = r"(?! ?(?:powder|shake|bar|ball|yog|free|milk|drink|bread|pancake|content|snack|cookie))"
_FIGURES = {
    field: (
        re.compile(rf"{_NUMBER} ?(?:g|grams?)?(?: of)? ?\b{name}\b{_NOT_FOOD}", re.IGNORECASE),
        re.compile(rf"\b{name}\b ?[:=]? ?{_NUMBER} ?(?:g|grams?)?\b(?! ?(?:of )?[a-z])", re.IGNORECASE),
    )
    for field, name in _NAMES.items()
}
_KCAL = re.compile(
    rf"{_NUMBER} ?(?:kcal|calories|cals?)\b|\b(?:kcal|calories|energy)\b ?[:=]? ?{_NUMBER}", re.I
)
_KJ = re.compile(rf"{_NUMBER} ?kj\b", re.I)
_PER_GRAMS = re.compile(rf"(?:per|in|/) ?{_NUMBER} ?(?:g|grams?|ml)\b", re.IGNORECASE)
_BELOW_ZERO = re.compile(r"(?:^|[ ,:(])[-−]\d")
_GRAMS = re.compile(rf"{_NUMBER} ?(?:g|grams?|ml)\b", re.IGNORECASE)

KCAL_PER_G = {"carbs_g": 4.0, "protein_g": 4.0, "fat_g": 9.0, "fibre_g": 2.0}
"""Energy conversion factors (kcal/g) of food labels in the European Union, Regulation 1169/2011, annex XIV
(from memory)."""
KJ_PER_KCAL = 4.184
WORKED_OUT = "kcal worked out: 4 a gram of carbohydrate and protein, 9 of fat, 2 of fibre"
_ROUNDING = 1.05
"""How far the figures of a label may add up to more than its weight, since each of them is rounded."""


@dataclass(frozen=True, slots=True)
class Label:
    """What was read: one of the food, or what is wrong with the figures in words for the person."""

    item: Item | None
    problem: str = ""


def read_label(name: str, text: str) -> Label | None:
    """Read the figures in `text` as those of the food `name`; None when it holds none."""
    rest, held = text, {}
    for field, patterns in _FIGURES.items():
        for pattern in patterns:
            match = pattern.search(rest)
            if match is not None:
                held[field] = _value(match[1])
                if field == "carbs_g" and "total" in match[0].lower():
                    held["total"] = held[field]
                rest = f"{rest[: match.start()]} | {rest[match.end() :]}"
                break
    if held.keys() <= {"sugars_g"}:  # none, or "tea with 2 sugars"
        return None
    if "\n" not in text and _BELOW_ZERO.search(text):  # in a list of lines it is a bullet
        return Label(None, f"Every figure must be above zero. {_say(name)}")
    if "total" in held:  # fibre is in it, as on labels outside Europe
        held["carbs_g"] = max(0.0, held.pop("total") - held.get("fibre_g", 0.0))
    kcal, rest = _read_energy(rest)
    if "carbs_g" not in held:
        return Label(None, f"How much carbohydrate is in it? {_say(name)}")
    per = _PER_GRAMS.search(rest)
    whole = _PER_GRAMS.sub("|", rest) if per is not None else rest
    one = _GRAMS.search(whole)
    weight = _value(one[1]) if one is not None else None
    base = _value(per[1]) if per is not None else weight
    if not base or (weight is not None and weight <= 0):
        return Label(None, f"What does one weigh, or is that per 100 g? {_say(name)}")
    return _build(name, text, Nutrients(energy_kcal=kcal, **held), base, weight)


def _build(name: str, text: str, held: Nutrients, base: float, weight: float | None) -> Label:
    parts = (held.carbs_g, held.protein_g, held.fat_g, held.fibre_g)
    total = sum(value for value in parts if value is not None)
    if total > base * _ROUNDING or (held.sugars_g or 0.0) > (held.carbs_g or 0.0) * _ROUNDING + 0.5:
        return Label(None, f"Those figures are more than {base:g} g hold: please look again. {_say(name)}")
    assumed = ""
    if held.energy_kcal is None and None not in parts[:3]:
        held = replace(held, energy_kcal=work_out_kcal(held))
        assumed = WORKED_OUT
    grams = weight or base
    item = Item(name, name, name + MARK, grams, grams, grams, weight is not None, 1.0)
    return Label(replace(item, nutrients=held.scaled(grams / base), assumed=assumed))


def work_out_kcal(held: Nutrients) -> float:
    """Return the energy of carbohydrate, protein, fat and fibre (kcal); what is not known counts nothing."""
    return sum(per_g * (getattr(held, field) or 0.0) for field, per_g in KCAL_PER_G.items())


def _read_energy(text: str) -> tuple[float | None, str]:
    kcal, kj = _KCAL.search(text), _KJ.search(text)
    value = None
    if kcal is not None:
        value = _value(kcal[1] or kcal[2])
    elif kj is not None:
        value = _value(kj[1]) / KJ_PER_KCAL
    return value, _KJ.sub(" | ", _KCAL.sub(" | ", text))


def _value(text: str) -> float:
    return float(text.replace(",", "."))


def _say(name: str) -> str:
    return f"Say it like “my {name}: 60 g, 21 g carbs, 15 g protein, 9 g fat”, or with “per 100 g”."
