"""What drives it as plain JSON values, with the promised keys; nothing is rounded."""

from collections.abc import Mapping, Sequence

from analysis.foods.effects import LEVEL, FoodEffect
from analysis.habits.effects import LEVEL as LEVER_LEVEL
from analysis.habits.effects import LeverEffect, told_among
from analysis.variants.effects import Judged, VersionEffect
from bot.commandline.results_json import Json
from bot.reply.results_foods import next_step
from bot.reply.results_habits import verdict
from bot.reply.results_variants import name_staple, word_difference

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


def write_variants(
    found: Sequence[Judged], scores: Sequence[Sequence[Sequence[float]]], names: Mapping[str, str]
) -> list[Json]:
    """Write the staples with their versions, as usual first; effects are on the signed two-hour area.

    scores: evenness of the servings of each version of each staple
    """
    return [
        {
            "staple": name_staple(one.staple, names),
            "slot": one.staple.slot,
            "servings": one.staple.servings,
            "typical_g": {names[food]: one.staple.grams[food] for food in one.staple.foods},
            "versions": [
                _version(version, each, names) for version, each in zip(one.versions, of, strict=True)
            ],
        }
        for one, of in zip(found, scores, strict=True)
    ]


def _version(one: VersionEffect, scores: Sequence[float], names: Mapping[str, str]) -> Json:
    effect, seen = one.effect, one.seen
    return {
        "difference": word_difference(one.version.difference, names),
        "servings": len(one.version.rows),
        "mean_score": sum(scores) / len(scores) if scores else None,
        "effect": None if effect is None else _interval(effect.estimate, effect.low, effect.high),
        "seen": None if seen is None else _interval(seen.difference, seen.low, seen.high),
        "told_apart": one.told,
    }


def _interval(estimate: float, low: float, high: float) -> Json:
    return {"estimate": estimate, "low": low, "high": high, "level": LEVEL, "unit": UNIT}


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
