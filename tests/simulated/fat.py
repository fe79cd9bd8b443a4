"""Simulated people whose plates hold little fat or much, which does nothing or takes a share off."""

from dataclasses import replace

import numpy as np

from analysis.foods.rows import Row
from tests.simulated.dishes import (
    DISHES,
    FOODS,
    PORTION_SD,
    SCALE,
    SENSOR_SD,
    Foods,
    World,
    draw_dish,
    note,
    stock,
)

WAYS = ("does nothing", "takes a share off")
RATIO, CARBS_G = 0.4, 15.0
CV, DAY_SD = 0.22, 0.1


def eat_fat(rng: np.random.Generator, way: str) -> tuple[list[Row], float | None]:
    """Return four weeks, and what the fat of plates rich in it truly does (percent), None without such."""
    fat = np.where(np.arange(FOODS) < 13, rng.uniform(0, 8, FOODS), rng.uniform(3, 15, FOODS))
    foods = replace(stock(rng), fat=fat)
    dishes = [draw_dish(rng) for _ in range(DISHES)]
    rows, plates = [], []
    for day in range(28):
        level = float(np.exp(rng.normal(0, DAY_SD)))
        for _ in range(int(rng.integers(3, 5))):
            dish = dishes[int(rng.integers(DISHES))]
            size = {f: float(np.exp(rng.normal(0, PORTION_SD))) for f in dish}
            area = level * _respond(foods, size, way, None) * float(rng.gamma(1 / CV**2, CV**2))
            eaten = tuple(note(foods, f, s, World()) for f, s in size.items())
            rows.append(Row(area + float(rng.normal(0, SENSOR_SD)), eaten, entry_id=len(rows), day=day))
            plates.append(size)
    rich = [size for size in plates if _ratio(foods, size) >= RATIO]
    lean = [_ratio(foods, size) for size in plates if _ratio(foods, size) < RATIO]
    if not rich or not lean:
        return rows, None
    usual = float(np.median(lean))
    as_eaten, leaner = (sum(_respond(foods, size, way, r) for size in rich) for r in (None, usual))
    return rows, 100 * (as_eaten / leaner - 1)


def _ratio(foods: Foods, size: dict[int, float]) -> float:
    """Return the fat for a gram of carbohydrate, 0 for a plate with hardly any of the latter."""
    carbs, fat = (sum(of[f] * s for f, s in size.items()) for of in (foods.carbs, foods.fat))
    return float(fat / carbs) if carbs >= CARBS_G else 0.0


def _respond(foods: Foods, size: dict[int, float], way: str, ratio: float | None) -> float:
    """Return the area of a plate, with its own fat or so much for a gram of carbohydrate."""
    load = sum(SCALE * foods.own[f] * (foods.carbs[f] - foods.fibre[f]) * s for f, s in size.items())
    beside = _ratio(foods, size) if ratio is None else ratio
    return float(load) * (1 - 0.3 * min(beside, 1.0) if way == WAYS[1] else 1.0)
