"""One meal of two people in words: each with their own scores and how much these vary; then the verdict."""

import statistics
from collections.abc import Sequence

from analysis.arms import Arms
from bot.reply import numbers
from bot.reply.results_compare import verdict

ENDS = (
    "Portions, hours, sensors and bodies differ between two people: why one is more even it can't say. "
    "“Stop sharing” ends this at once."
)


def sides_of(words: str) -> tuple[str, str]:
    """Name the two sides."""
    return f"your {words}", f"the other's {words}"


def say_ours(words: str, scores: Sequence[Sequence[float]], arms: Arms | None, *, differ: bool) -> str:
    """Say what the servings of each scored, and whether the two are told apart.

    scores: of the person's own servings, and of the other's
    """
    lines = [_side(name, each) for name, each in zip(("You", "The other"), scores, strict=True)]
    if arms is None:
        lines.append("Setting them side by side takes two scored servings of each at least.")
    else:
        more = "more" if arms.difference >= 0 else "less"
        likely = numbers.points_apart(arms.low, arms.high)
        lines.append(f"The other's scores {abs(arms.difference):.0f} points {more} (likely {likely}).")
        lines.append(verdict(sides_of(words), arms, differ=differ, questions=1))
    return "\n".join([f"{words[:1].upper()}{words[1:]}, of the two of you:", *lines, ENDS])


def _side(name: str, scores: Sequence[float]) -> str:
    if not scores:
        return f"{name}: no serving with a whole curve yet."
    count = numbers.count(len(scores), "serving")
    said = f"{name}: {count}, evenness {statistics.fmean(scores):.0f}"
    if len(scores) < 2:
        return f"{said}."
    return f"{said} on average, from {min(scores):.0f} to {max(scores):.0f}."
