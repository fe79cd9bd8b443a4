"""What the ranking of a week claims, against the truth of simulated weeks.

    python -m tests.bench.conclusions_ranking [--weeks 200]

Curves with sensor noise and skewed variation from serving to serving (tests/simulated/meals.py), scored and
ranked as the bot does. Shown: the gap between the first and the last score (points); how often they are told
apart, and how often wrongly; how often the ranges of the first and the last hold their true mean scores.
Then, for runs in which all meals are alike, how often the report still names one to keep or to change.
"""

import argparse
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np

from analysis.evenness import score_curve
from analysis.ranking import rank_meals
from analysis.results import Serving
from bot.report.story import keep_and_change
from tests.simulated.meals import (
    MINUTES,
    Kind,
    curve_of,
    draw_servings,
    eat,
    true_score,
    week_of_equals,
    week_of_unequals,
)

Make = Callable[[np.random.Generator], list[Kind]]
MONDAY = datetime(2026, 3, 2, 12, tzinfo=UTC)
EQUAL_AREA = 110.0


def far_apart(rng: np.random.Generator, meals: int = 12) -> list[Kind]:
    """Return meals of true areas from 60 to 160: best and worst lie 100 apart."""
    kinds = week_of_unequals(rng, meals)
    areas = np.array([kind.area for kind in kinds])
    areas = 60 + 100 * (areas - areas.min()) / np.ptp(areas)
    return [replace(kind, area=float(area)) for kind, area in zip(kinds, areas, strict=True)]


WEEKS: dict[str, tuple[Make, int]] = {
    "20 equal meals, once each": (week_of_equals, 20),
    "12 unequal meals, 21 servings": (week_of_unequals, 21),
    "12 meals 100 apart, 21 servings": (far_apart, 21),
    "7 meals 100 apart, 21 servings": (lambda rng: far_apart(rng, 7), 21),
    "4 meals 100 apart, 16 servings": (lambda rng: far_apart(rng, 4), 16),
}


RUNS = ((8, 20), (12, 40), (12, 70))
"""Meals and servings of runs in which all meals are alike."""


def serve(rng: np.random.Generator, kinds: list[Kind], which: int, k: int, cv: float) -> Serving:
    """Return one serving of a meal with its score."""
    read = eat(rng, kinds[which], cv)
    curve = curve_of(read)
    name, carbs = f"meal {which}", kinds[which].carbs
    return Serving(
        k,
        MONDAY + timedelta(hours=8 * k),
        "lunch",
        name,
        name,
        carbs,
        MINUTES,
        read,
        curve,
        score_curve(curve),
    )


def names_any(rng: np.random.Generator, meals: int, servings: int, cv: float) -> bool:
    """Tell whether the report names a meal to keep or to change in a run in which all are alike."""
    which = draw_servings(rng, meals, servings).tolist()
    kinds = [Kind(EQUAL_AREA, 50.0)] * meals
    ranking = rank_meals([serve(rng, kinds, w, k, cv) for k, w in enumerate(which)])
    return any("beyond chance" in text for text in keep_and_change(ranking).paragraphs)


def main() -> None:
    """Print a row for each kind of week and each variation within a meal."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--weeks", type=int, default=200)
    weeks = parser.parse_args().weeks
    print(
        f"{weeks} weeks each: gap shown, told apart, told apart wrongly, ranges of first and last hold truth"
    )
    for name, (make, servings) in WEEKS.items():
        for cv in (0.25, 0.4):
            rng = np.random.default_rng(7)
            equal = true_score(rng, Kind(EQUAL_AREA, 50.0), cv, 800)
            gaps, told, wrong, held = [], [], [], []
            for _ in range(weeks):
                kinds = make(rng)
                which = draw_servings(rng, len(kinds), servings).tolist()
                ranking = rank_meals([serve(rng, kinds, w, k, cv) for k, w in enumerate(which)])
                ends = ranking.meals[0], ranking.meals[-1]
                same = len({kind.area for kind in kinds}) == 1
                truth = [
                    equal if same else true_score(rng, kinds[int(end.key.split()[1])], cv, 80) for end in ends
                ]
                gaps.append(ends[0].score - ends[1].score)
                told.append(ranking.told_apart)
                wrong.append(ranking.told_apart and truth[0] <= truth[1])
                held += [end.low <= true <= end.high for end, true in zip(ends, truth, strict=True)]
            print(
                f"{name:32} CV {100 * cv:.0f} %: {np.mean(gaps):5.1f} {np.mean(told):.2f} "
                f"{np.mean(wrong):.3f} {np.mean(held):.3f}"
            )
    print("a meal to keep or to change is named though all are alike, in runs of 20, 40 and 70 servings")
    for cv in (0.25, 0.4):
        rng = np.random.default_rng(3)
        shares = [np.mean([names_any(rng, m, n, cv) for _ in range(weeks)]) for m, n in RUNS]
        print(f"variation {cv:.0%}: " + ", ".join(f"{share:.3f}" for share in shares))


if __name__ == "__main__":
    main()
