"""How surely habits are judged.

    python -m tests.bench.conclusions_habits [--people 200]

Simulated people of tests/simulated/habits.py and kitchens of tests/simulated/eaters.py: how often the walk is
found and its interval holds the truth, what an oracle finds that knows each plate's true response, how often
levers that do nothing are called something, help, and anything in a list of all; fat beside carbohydrate.
"""

import argparse
from collections import defaultdict

import numpy as np

from analysis.foods.model import fit_foods
from analysis.foods.rows import Row
from analysis.habits.effects import LeverEffect, judge_levers_of, told_among
from analysis.habits.fat import FAT
from analysis.results import Floats
from tests.simulated.eaters import eat_for_weeks, kitchen
from tests.simulated.fat import WAYS, eat_fat
from tests.simulated.habits import NOTHING, Life, live_with

SEED = 2026
LIVES = {
    "aims: CV 22 %, walks after a third": Life(),
    "CV 22 %, walks after large meals, days .15, noise hangs": Life(after_large=True, days=0.15, hangs=0.3),
    "the same, saturating": Life(after_large=True, days=0.15, hangs=0.3, saturates=True),
    "the same at CV 40 %": Life(cv=0.4, after_large=True, days=0.15, hangs=0.3, saturates=True),
    "the same at CV 22 %, walks do nothing": Life(walk=1.0, after_large=True, days=0.15, hangs=0.3),
}
Found = dict[str, list[float]]


def judge_life(people: int, life: Life) -> dict[str, float]:
    """Return the means over some people."""
    rng = np.random.default_rng(SEED)
    found: Found = defaultdict(list)
    for _ in range(people):
        rows = live_with(rng, life)
        judge(found, rows, life.walk)
    return means(found)


def judge(found: Found, rows: list[Row], walk: float) -> None:
    """Add how the levers of one person are judged."""
    levers = {one.name: one for one in judge_levers_of(fit_foods(rows), rows) if one.name != FAT}
    listed = told_among(levers.values())
    one = levers["walk after"]
    found["walk found"].append(float(one.told and one.effect.estimate < 0))
    found["in the list"].append(float("walk after" in listed))
    found["held"].append(_holds(one, 100 * (walk - 1)))
    found["bias"].append(one.effect.estimate - 100 * (walk - 1))
    found["control took it back"].append(float(one.doubted))
    for name in NOTHING:
        if name in levers:
            null = levers[name]
            found[f"{name} called"].append(float(null.told))
            found[f"{name} held"].append(_holds(null, 0.0))
            found["null called"].append(float(null.told))
            found["null called help"].append(float(null.told and null.effect.estimate < 0))
            found["null held"].append(_holds(null, 0.0))
    found["any null in the list"].append(float(bool(listed & set(NOTHING))))


def _holds(one: LeverEffect, truth: float) -> float:
    return float(one.effect.low <= truth <= one.effect.high)


def judge_kitchen(people: int, walk: float, after_large: bool) -> dict[str, float]:
    """Return the means over people of tests/simulated/eaters.py, and what an oracle finds."""
    rng = np.random.default_rng(SEED)
    found: Found = defaultdict(list)
    for _ in range(people):
        pantry = kitchen(rng, spread=0.25)
        state = rng.bit_generator.state
        rows, _ = eat_for_weeks(rng, pantry, 28, 0.22, walk, after_large)
        judge(found, rows, walk)
        rng.bit_generator.state = state
        sure, _ = eat_for_weeks(rng, pantry, 28, 1e-3, 1.0, after_large)
        if len(sure) == len(rows):
            found["oracle"].append(float(_oracle(rows, np.array([row.area for row in sure])) < -1.96))
    return means(found)


def _oracle(rows: list[Row], usual: Floats) -> float:
    """Return the z of a walk by least squares, who knows each plate's response without it and the noise."""
    on = np.array([row.levers.get("walk after", 0.0) for row in rows])
    area = np.array([row.area for row in rows])
    walk, inner = 0.0, 1.0
    for _ in range(20):
        mu = usual * np.exp(walk * on)
        slope, variance = mu * on, 14.0**2 + (0.22 * mu) ** 2
        inner = float((slope**2 / variance).sum())
        walk += float((slope / variance * (area - mu)).sum()) / inner
    return walk * inner**0.5


def judge_fat(people: int, way: str) -> dict[str, float]:
    """Return how fat beside carbohydrate is judged where it does nothing, or takes a share off."""
    rng = np.random.default_rng(SEED)
    found: Found = defaultdict(list)
    for _ in range(people):
        rows, truth = eat_fat(rng, way)
        for one in judge_levers_of(fit_foods(rows), rows):
            if one.name == FAT and one.enough and truth is not None:
                found["called"].append(float(one.told))
                found["called help"].append(float(one.told and one.effect.estimate < 0))
                found["held"].append(_holds(one, truth))
                found["bias"].append(one.effect.estimate - truth)
    return means(found)


def means(found: Found) -> dict[str, float]:
    """Return the mean of each."""
    return {name: float(np.mean(values)) for name, values in found.items()}


def main() -> None:
    """Print a row for each case."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=200)
    people = parser.parse_args().people
    for name, life in LIVES.items():
        show(name, judge_life(people, life))
    show("kitchen, 84 meals, CV 22 %, walk .78", judge_kitchen(people, 0.78, after_large=False))
    show("the same, walks of large meals do nothing", judge_kitchen(people, 1.0, after_large=True))
    for way in WAYS:
        show(f"fat beside carbohydrate, {way}", judge_fat(people, way))


def show(name: str, found: dict[str, float]) -> None:
    """Print one case."""
    print(f"{name}\n   " + ", ".join(f"{what} {value:.3g}" for what, value in found.items()), flush=True)


if __name__ == "__main__":
    main()
