"""What to try next as plain JSON values, the most informative first; nothing is rounded."""

from analysis.plan.suggest import Plan
from bot.commandline.results_json import Json
from bot.model.units import GlucoseUnit
from bot.reply.results_foods import Names
from bot.reply.results_plan import what, why


def write_plan(found: Plan, names: Names, unit: GlucoseUnit) -> list[Json]:
    """Write each suggestion: what to try and why, and of what both are made."""
    return [
        {
            "try": what(one, names),
            "why": why(one, names, unit),
            "kind": one.kind,
            "foods": [names[food] for food in one.foods],
            "change": names.get(one.of, one.of) or None,
            "slot": one.slot or None,
            "carbs_g": one.carbs_g,
            "tells_of": names.get(one.about, one.about),
            "worth": one.worth,
        }
        for one in found.suggestions
    ]
