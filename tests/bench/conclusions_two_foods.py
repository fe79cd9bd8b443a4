"""Two foods side by side: how often the difference is in its interval, how often it is told, and wrongly.

    python -m tests.bench.conclusions_two_foods [--people 20]

Every pair of foods with more than 8 g of carbohydrate of simulated people (tests/simulated/dishes.py, whose
truth is not the model's). Columns: interval holds the true difference; said to differ at the usual portions,
and of these with the wrong sign; said to differ for a gram of carbohydrate, and of these wrong; of pairs
that differ by more than 30, said; the interval of a dish of two foods holds the truth.

    20 people each                       holds   said  wrong   gram  wrong  large   dish
    clean, CV 22 %                        0.927  0.468  0.004  0.080  0.000  0.826  0.857
    clean, CV 40 %                        0.912  0.424  0.002  0.018  0.000  0.721  0.904
    all faults, CV 30 %                   0.841  0.416  0.008  0.012  0.000  0.772  0.845
    walks after big meals, day effects    0.860  0.460  0.009  0.047  0.000  0.836  0.904
    saturating, fat delaying              0.934  0.435  0.002  0.043  0.000  0.894  0.844
"""

import argparse
from collections import defaultdict
from itertools import combinations

import numpy as np

from analysis.foods.contrasts import SURE, compare_foods, judge_dish, occasions_of
from analysis.foods.model import fit_foods
from analysis.foods.rows import Row
from tests.bench.conclusions_foods import AIMS, SEED
from tests.simulated.dishes import FOODS, Foods, World, live, respond, stock

LARGE, STARCHY_G = 30.0, 8.0
MOST_DISHES = 20


def judge(people: int, world: World) -> dict[str, float]:
    """Return the shares over all pairs of foods of some people."""
    rng = np.random.default_rng(SEED)
    found: dict[str, list[float]] = defaultdict(list)
    for _ in range(people):
        foods = stock(rng)
        rows, _ = live(rng, foods, world)
        fit = fit_foods(rows)
        eaten = [f for f in range(FOODS) if f"food {f}" in fit.design.foods and foods.carbs[f] > STARCHY_G]
        for a, b in combinations(eaten, 2):
            two = compare_foods(fit, [f"food {a}"], [f"food {b}"])
            assert two is not None
            beside = [row for row in rows if held(row) & {a, b}]
            each = [[true_add(row, foods, world, {f}, {a, b}) for row in beside] for f in (a, b)]
            true = float(np.mean(each[0]) - np.mean(each[1]))
            found["holds"].append(two.difference.low <= true <= two.difference.high)
            found["said"].append(two.differ)
            if two.differ:
                found["wrong"].append((two.first_more > 0.5) != (true > 0))
            if abs(true) > LARGE:
                found["large"].append(two.differ)
            if two.gram_more is not None:
                sure = max(two.gram_more, 1 - two.gram_more) >= SURE
                found["gram"].append(sure)
                if sure:
                    found["gram wrong"].append((two.gram_more > 0.5) != (foods.own[a] > foods.own[b]))
        for a, b in list(combinations(range(FOODS), 2))[:: FOODS * FOODS // 2 // MOST_DISHES]:
            names = [f"food {a}", f"food {b}"]
            rows_with = occasions_of(fit, names) if set(names) <= set(fit.design.foods) else np.array([])
            if not rows_with.size:
                continue
            dish = judge_dish(fit, names, rows_with)
            true = np.mean(
                [true_add(row, foods, world, {a, b}, {a, b}) for row in rows if {a, b} <= held(row)]
            )
            found["dish"].append(dish.effect.low <= true <= dish.effect.high)
    return {name: float(np.mean(values)) for name, values in found.items()}


def held(row: Row) -> set[int]:
    """Return which foods an occasion held, by number."""
    return {int(one.food.split()[1]) for one in row.eaten}


def true_add(row: Row, foods: Foods, world: World, add: set[int], instead: set[int]) -> float:
    """Return what usual portions of some foods truly add to an occasion from which others are taken off."""
    rest = {int(one.food.split()[1]): one.grams / 100 for one in row.eaten}
    rest = {f: size for f, size in rest.items() if f not in instead}
    factor = 0.7 if row.levers.get("walk after") else 1.0
    return factor * (respond(foods, rest | dict.fromkeys(add, 1.0), world) - respond(foods, rest, world))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=20)
    people = parser.parse_args().people
    columns = ("holds", "said", "wrong", "gram", "gram wrong", "large", "dish")
    print(f"{'':38}{'  '.join(columns)}")
    for name, world in AIMS.items():
        found = judge(people, world)
        print(f"{name:36}" + "".join(f"  {found.get(key, float('nan')):5.3f}" for key in columns), flush=True)


if __name__ == "__main__":
    main()
