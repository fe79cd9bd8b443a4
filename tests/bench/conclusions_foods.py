"""How near the effects of foods and habits come to the truth.

    python -m tests.bench.conclusions_foods [--people 60]

Simulated people of tests/simulated/eaters.py: rank correlation with the truth, root mean square error and
coverage of the 0.9 intervals, beside what nutrients alone and plain averages reach; then the levers.
"""

import argparse
import time
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.foods.effects import FoodEffect, judge_fit
from analysis.foods.model import fit_foods
from analysis.habits.effects import judge_levers_of
from analysis.results import Floats
from bot.reply.results_foods import SURE
from tests.simulated.dishes import World, live, stock
from tests.simulated.eaters import Kitchen, eat_for_weeks, kitchen

SEED = 2026


def rank_correlation(a: Sequence[float] | Floats, b: Sequence[float] | Floats) -> float:
    """Return Spearman's correlation of two without ties."""
    ranks = [np.argsort(np.argsort(np.asarray(one))) for one in (a, b)]
    return float(np.corrcoef(*ranks)[0, 1])


def nutrient_line(pantry: Kitchen, truth: Floats, known: Floats) -> Floats:
    """Return carbs - 0.8 fat - fibre of a portion, scaled to the truth."""
    line: Floats = (pantry.carbs - 0.8 * pantry.fat - pantry.fibre)[known]
    scaled: Floats = line * float(line @ truth[known] / (line @ line))
    return scaled


def judge_people(
    people: int, spread: float, days: int, cv: float, walk: float, confounded: bool
) -> dict[str, float]:
    """Return the means over some people."""
    rng = np.random.default_rng(SEED)
    found: dict[str, list[float]] = defaultdict(list)
    for _ in range(people):
        pantry = kitchen(rng, spread=spread)
        rows, truth = eat_for_weeks(rng, pantry, days, cv, walk, confounded)
        start = time.perf_counter()
        fit = fit_foods(rows)
        effects = {one.food: one for one in judge_fit(fit)}
        found["s"].append(time.perf_counter() - start)
        known = np.flatnonzero(np.isfinite(truth))
        each = [effects[pantry.names[f]] for f in known]
        true = truth[known]
        compare(found, each, true, nutrient_line(pantry, truth, known), pantry.carbs[known] > 8)
        for lever in judge_levers_of(fit, rows):
            true_effect = 100 * (walk - 1) if lever.name == "walk after" else 0.0
            name = "walk" if lever.name == "walk after" else lever.name
            found[f"{name} held"].append(float(lever.effect.low <= true_effect <= lever.effect.high))
            found[f"{name} called"].append(float(lever.told))
            found[f"{name} called help"].append(float(lever.told and lever.effect.estimate < 0))
            found[f"{name} bias"].append(lever.effect.estimate - true_effect)
            found[f"{name} plain bias"].append((lever.plain or 0.0) - true_effect)
            if lever.control is not None:
                found["control called"].append(float(lever.control.differs))
    return {name: float(np.nanmean(values)) for name, values in found.items()}


AIMS = {
    "clean, CV 22 %": World(),
    "clean, CV 40 %": World(cv=0.4),
    "all faults, CV 30 %": World(cv=0.3, walks=True, days=0.1, faults=True),
    "walks after big meals, day effects": World(walks=True, days=0.15),
    "saturating, fat delaying": World(saturates=True),
}


def judge_dishes(people: int, world: World) -> dict[str, float]:
    """Return the means over some people of tests/simulated/dishes.py."""
    rng = np.random.default_rng(SEED)
    found: dict[str, list[float]] = defaultdict(list)
    for _ in range(people):
        foods = stock(rng)
        rows, truth = live(rng, foods, world)
        effects = {one.food: one for one in judge_fit(fit_foods(rows))}
        known = np.flatnonzero(np.isfinite(truth))
        each, true = [effects[f"food {f}"] for f in known], truth[known]
        line = foods.line[known] * np.array([one.grams / 100 for one in each])
        line = line * float(line @ true / (line @ line))
        compare(found, each, true, line, foods.carbs[known] > 8)
    return {name: float(np.nanmean(values)) for name, values in found.items()}


def compare(
    found: dict[str, list[float]],
    each: list[FoodEffect],
    true: Floats,
    line: Floats,
    starchy: NDArray[np.bool_],
) -> None:
    """Add how near the effects are to the truth, beside what nutrients alone reach."""
    estimate = np.array([one.estimate for one in each])
    inside = np.array([one.low <= t <= one.high for one, t in zip(each, true, strict=True)])
    found["rank"].append(rank_correlation(estimate, true))
    found["rank line"].append(rank_correlation(line, true))
    found["rank plain"].append(rank_correlation([one.plain_mean for one in each], true))
    found["error"].append(float(np.sqrt(((estimate - true) ** 2).mean())))
    found["error/line"].append(found["error"][-1] / float(np.sqrt(((line - true) ** 2).mean())))
    found["departures"].append(float(np.corrcoef((estimate - line)[starchy], (true - line)[starchy])[0, 1]))
    found["held > 8 g"].append(float(inside[starchy].mean()))
    found["held < 8 g"].append(float(inside[~starchy].mean()) if not starchy.all() else np.nan)
    for one, t, by_line in zip(each, true, line, strict=True):
        sure = one.learnt and max(one.above, 1 - one.above) >= SURE
        found["departs called"].append(float(sure))
        if sure:
            found["called wrongly"].append(float((one.above > 0.5) != (t > by_line)))
    found["welded named"].append(float(np.mean([bool(one.together_with) for one in each])))


def main() -> None:
    """Print a row for each case."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=60)
    people = parser.parse_args().people
    for days in (14, 28):
        for spread in (0.2, 0.35, 0.5):
            show(people, spread, days, 0.3, 0.8, True)
    for name, world in AIMS.items():
        print(f"20 dishes, {name}\n   {say(judge_dishes(people, world))}", flush=True)
    show(people, 0.25, 28, 0.22, 0.78, False)
    show(people, 0.25, 28, 0.22, 1.0, True)
    show(people, 0.25, 28, 0.4, 1.0, True)


def show(people: int, spread: float, days: int, cv: float, walk: float, confounded: bool) -> None:
    """Print one case."""
    found = judge_people(people, spread, days, cv, walk, confounded)
    print(f"spread {spread}, {days} days, CV {cv}, walk {walk}, {'' if confounded else 'not '}confounded")
    print(f"   {say(found)}", flush=True)


def say(found: dict[str, float]) -> str:
    """Word the figures of one case."""
    return ", ".join(f"{name} {value:.3g}" for name, value in found.items())


if __name__ == "__main__":
    main()
