"""The servings of one food or meal with how much of it was eaten."""

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.results import Serving


@dataclass(frozen=True, slots=True)
class Portion:
    """One serving and how much of it was eaten: grams of the food, or of carbohydrate; None = not known."""

    serving: Serving
    grams: float | None


def by_portion(portions: Sequence[Portion]) -> list[Portion]:
    """Return servings from the smallest portion to the largest, those of equal ones by when they were."""
    return sorted(portions, key=lambda p: (p.grams is None, p.grams or 0.0, p.serving.at))


def tell_servings(portions: Sequence[Portion], of: str) -> str:
    """Say from where to where portions and scores go: "5 servings: 40 to 60 g oats, evenness 55 to 82"."""
    grams = [p.grams for p in portions if p.grams is not None]
    scores = [p.serving.evenness.score for p in portions if p.serving.evenness is not None]
    n = len(portions)
    parts = [f"{_range(grams)} g {of}"] if grams else []
    parts.append(f"evenness {_range(scores)}" if scores else "no score yet")
    return f"{n} serving{'' if n == 1 else 's'}: {', '.join(parts)}"


def _range(values: Sequence[float]) -> str:
    low, high = f"{min(values):.0f}", f"{max(values):.0f}"
    return low if low == high else f"{low} to {high}"
