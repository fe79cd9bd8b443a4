"""Two kinds of servings against each other in words."""

from collections.abc import Sequence
from datetime import date

from analysis.arms import LOOKS, NEED_EACH, Arms
from analysis.day_names import name_day
from analysis.results import Serving
from bot.model.naming import join
from bot.reply import numbers

NOT_DRAWN = "Other things may have differed too, such as the time of day."
MOST_DAYS = 8


def compared(
    labels: tuple[str, str],
    arms: Arms,
    *,
    kinds: tuple[int, int],
    days: tuple[Sequence[date], Sequence[date]],
    differ: bool,
    questions: int,
    unscored: int,
) -> str:
    """Say how two kinds of servings differ in evenness, and whether that is more than chance.

    kinds: of how many different meals the servings of each side are; days: of each serving
    differ: whether it is told apart, all questions counted; questions: how many those are
    unscored: servings without a score
    """
    lines = [
        f"{_capital(label)}: {numbers.count(n, 'serving')}{_of_meals(meals)}, evenness {score:.0f}."
        for label, n, meals, score in zip(labels, arms.n, kinds, arms.score, strict=True)
    ]
    higher = "higher" if arms.difference >= 0 else "lower"
    lines.append(
        f"{_capital(labels[1])} scores {abs(arms.difference):.0f} points {higher} at like portions "
        f"(likely {numbers.points_apart(arms.low, arms.high)})."
    )
    lines.append(verdict(labels, arms, differ=differ, questions=questions))
    if differ:
        lines += [f"{_capital(label)} on {_days(on)}." for label, on in zip(labels, days, strict=True)]
    if unscored:
        lines.append(f"{numbers.count(unscored, 'more serving')} had too few readings to score.")
    return "\n".join([*lines, NOT_DRAWN])


def verdict(labels: tuple[str, str], arms: Arms, *, differ: bool, questions: int) -> str:
    """Say in one sentence whether two kinds differ; the parameters are those of `compared`."""
    counted = f", with all {questions} comparisons you asked for counted" if questions > 1 else ""
    if differ:
        better = labels[1] if arms.difference > 0 else labels[0]
        return f"{_capital(better)} is the more even: more than chance does{counted}."
    if arms.next_look is not None:
        each = "six" if arms.next_look == LOOKS[0] else str(arms.next_look)
        return (
            f"Too early to judge: I look at {each} servings each, since looking every time "
            "finds what is not there."
        )
    return f"No clear difference{counted}: it may as well be none."


def _days(days: Sequence[date]) -> str:
    """Name the days of one side, the latest where they are many."""
    each = sorted(set(days))
    named = join([name_day(day) for day in each[-MOST_DAYS:]])
    return named if len(each) <= MOST_DAYS else f"{len(each)} days, the last {MOST_DAYS} {named}"


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
        f"To compare them I need {NEED_EACH} servings of each with a whole curve. So far, {'; '.join(parts)}."
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
