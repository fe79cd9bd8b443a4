"""Two kinds of servings against each other in words."""

from collections.abc import Sequence

from analysis.contrast import NEED_EACH, VERDICT_EACH, Contrast
from analysis.results import Serving
from bot.model.units import GlucoseUnit
from bot.reply import numbers

NOT_DRAWN = "You chose what you ate when, so that other things may differ as well."


def compared(
    labels: tuple[str, str],
    evenness: Contrast,
    area: Contrast,
    *,
    kinds: tuple[int, int],
    unit: GlucoseUnit,
    unscored: int,
) -> str:
    """Say how two kinds of servings differ in evenness and in area, and that it is no verdict while few.

    kinds: of how many different meals the servings of each side are; unscored: servings without a score
    """
    lines = [
        f"{_capital(label)}: {numbers.count(n, 'serving')}{_of_meals(meals)}, evenness {even:.0f}, "
        f"area {numbers.area(size, unit)}."
        for label, n, meals, even, size in zip(
            labels, evenness.n, kinds, evenness.mean, area.mean, strict=True
        )
    ]
    higher = "higher" if evenness.difference >= 0 else "lower"
    lines += [
        f"{_capital(labels[1])} scores {abs(evenness.difference):.0f} points {higher} (likely "
        f"{numbers.points(evenness.low)} to {numbers.points(evenness.high)}; Welch's interval at 90 %).",
        _verdict(labels, evenness),
    ]
    if unscored:
        lines.append(f"{numbers.count(unscored, 'more serving')} had too few readings to score.")
    return "\n".join([*lines, NOT_DRAWN])


def _verdict(labels: tuple[str, str], evenness: Contrast) -> str:
    if not evenness.enough:
        return (
            f"No verdict under {VERDICT_EACH} servings each: one person's curves of one and the same meal "
            "differ too much for that."
        )
    if not evenness.clear:
        return "No clear difference: it may as well be none."
    better = labels[1] if evenness.difference > 0 else labels[0]
    return f"{_capital(better)} is likely the more even."


def _of_meals(kinds: int) -> str:
    return f" of {kinds} different meals" if kinds > 1 else ""


def _capital(label: str) -> str:
    return label[:1].upper() + label[1:]


def too_few(labels: tuple[str, str], servings: tuple[Sequence[Serving], Sequence[Serving]]) -> str:
    """Say how many servings there are of each kind, and how many more it takes."""
    parts = []
    for label, group in zip(labels, servings, strict=True):
        scored = sum(s.evenness is not None for s in group)
        without = len(group) - scored
        more = f" ({without} more without enough readings)" if without else ""
        parts.append(f"{label}: {scored}{more}")
    return (
        f"Not known yet: comparing takes at least {NEED_EACH} servings of each with a whole curve. "
        f"So far, {'; '.join(parts)}."
    )


ONE_SIDE = (
    "Compare it with what? I need two foods or meals that you noted, like “compare porridge and toast” or "
    "“compare porridge with and without a walk”."
)


def not_found(labels: tuple[str, str]) -> str:
    """Say that no noted meal is of one of the kinds."""
    return (
        f"I find no meals noted as “{labels[0]}” or “{labels[1]}” in that time. I can compare "
        "foods and meals you noted, like “compare porridge and toast” or “compare porridge with and without "
        "a walk”."
    )
