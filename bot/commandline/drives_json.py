"""What drives it as plain JSON values, with the promised keys; nothing is rounded."""

from collections.abc import Mapping, Sequence

from analysis.foods.effects import LEVEL, FoodEffect
from analysis.habits.effects import LEVEL as LEVER_LEVEL
from analysis.habits.effects import LeverEffect, told_among
from bot.commandline.results_json import Json
from bot.reply.results_foods import next_step
from bot.reply.results_habits import verdict

UNIT = "mmol/L*min"


def write_foods(found: Sequence[FoodEffect], names: Mapping[str, str]) -> list[Json]:
    """Write what each food's usual portion adds to the signed two-hour area, the most first."""
    return [
        {
            "name": names[one.food],
            "food": one.food,
            "meals": one.occasions,
            "typical_g": one.grams,
            "effect": {
                "estimate": one.estimate,
                "low": one.low,
                "high": one.high,
                "level": LEVEL,
                "unit": UNIT,
            },
            "nutrients_say": one.nutrients_say,
            "plain_mean": one.plain_mean,
            "together_with": [names[food] for food in one.together_with],
            "next_step": next_step(one, names) or None,
        }
        for one in found
    ]


def write_habits(found: Sequence[LeverEffect]) -> list[Json]:
    """Write what each lever does to the signed two-hour area, in percent."""
    told = told_among(found)
    return [_lever(one, among_all=one.name in told) for one in found]


def _lever(one: LeverEffect, *, among_all: bool) -> Json:
    control = one.control
    return {
        **_judged(one),
        "control": None if control is None else _judged(control),
        "verdict": verdict(one, among_all=among_all),
    }


def _judged(one: LeverEffect) -> Json:
    return {
        "name": one.name,
        "with": one.on,
        "without": one.off,
        "effect": {
            "estimate": one.effect.estimate,
            "low": one.effect.low,
            "high": one.effect.high,
            "level": LEVER_LEVEL,
            "unit": "%",
        },
        "plain": one.plain,
    }
