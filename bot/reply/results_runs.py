"""Two runs of sensors side by side, in words."""

from dataclasses import dataclass
from datetime import date

from analysis.fasting import Fasting
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.results_days import day_span

SENSORS_DIFFER = (
    "Each run had sensors of its own, and sensors read unlike each other by some tenths: a difference no "
    "larger may be theirs."
)
"""... in mmol/L; see `analysis.phases.SCALES` for what is reckoned with."""
SENSORS_DIFFER_MG = (
    "Each run had sensors of its own, and sensors read unlike each other by up to 10 mg/dL or so: a "
    "difference no larger may be theirs."
)


@dataclass(frozen=True, slots=True)
class RunSide:
    """What a run comes to: its days, the fasting level, and the mean evenness of its meals.

    fasting, score: None where too little was read
    """

    first: date
    last: date
    fasting: Fasting | None
    score: float | None
    meals: int


def two_runs(earlier: RunSide, later: RunSide, unit: GlucoseUnit) -> str:
    """Say level and meals of two runs; what swings tell is said beside it."""
    lines = [f"Earlier run: {_span(earlier)}. Later run: {_span(later)}."]
    if earlier.fasting is not None and later.fasting is not None:
        before, after = (numbers.glucose(one.mean_mmol, unit) for one in (earlier.fasting, later.fasting))
        days = f"{earlier.fasting.days} and {numbers.count(later.fasting.days, 'morning')}"
        lines.append(f"Fasting: {before}, then {after} {unit} ({days}).")
    else:
        lines.append("Fasting: one of the two has too few mornings to say.")
    if earlier.score is not None and later.score is not None:
        meals = f"{earlier.meals} and {numbers.count(later.meals, 'meal')}"
        lines.append(
            f"Evenness of all meals, on average: {earlier.score:.0f}, then {later.score:.0f} ({meals}; what "
            "you ate differs, too)."
        )
    lines.append(SENSORS_DIFFER if unit == "mmol/L" else SENSORS_DIFFER_MG)
    return "\n".join(lines)


def _span(side: RunSide) -> str:
    return f"{day_span(side.first, side.last)} {side.last.year}"
