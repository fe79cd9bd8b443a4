"""Simulated people with habits: levers that do something or nothing, on days that have a level of their own.

Foods and responses are those of `tests.simulated.dishes` (additive or saturating; nothing in the form of the
food model); beside them some days run higher than others, noise hangs together from meal to meal, and
5 % of the meals have something unlogged. Only a walk after the meal does anything.
"""

from dataclasses import dataclass

import numpy as np

from analysis.foods.rows import Row
from tests.simulated.dishes import DISHES, PORTION_SD, SENSOR_SD, World, draw_dish, note, respond, stock

SLOTS = ("breakfast", "lunch", "dinner", "snack")
LARGE_G = 60.0
DAYS, SENSOR_DAYS = 28, 14
TRAINING = (1, 5)
NOTHING = ("vinegar", "late meal", "exercise before", "short sleep")
"""Levers that do nothing; of these the last two belong to days."""


@dataclass(frozen=True)
class Life:
    """How a person lives.

    cv: of responses; walk: what a walk multiplies by, after a third of the meals or rather after large ones
    days: SD of a day's effect (log); hangs: autocorrelation of noise from meal to meal
    """

    cv: float = 0.22
    walk: float = 0.78
    after_large: bool = False
    days: float = 0.0
    hangs: float = 0.0
    saturates: bool = False


def live_with(rng: np.random.Generator, life: Life) -> list[Row]:
    """Return the occasions of four weeks, about 98."""
    foods = stock(rng)
    dishes = [draw_dish(rng) for _ in range(DISHES)]
    world = World(cv=life.cv, saturates=life.saturates)
    spread = float(np.sqrt(np.log1p(life.cv**2)))
    rows: list[Row] = []
    noise = 0.0
    for day in range(DAYS):
        level, short = rng.normal(0, life.days), rng.random() < 0.25
        for meal in range(int(rng.integers(3, 5))):
            dish = dishes[int(rng.integers(DISHES))]
            size = {f: float(np.exp(rng.normal(0, PORTION_SD))) for f in dish}
            large = sum(foods.carbs[f] * s for f, s in size.items()) > LARGE_G
            often = (0.6 if large else 0.15) if life.after_large else 1 / 3
            on = {
                "walk after": rng.random() < often,
                "walk hours before": rng.random() < ((0.5 if large else 0.2) if life.after_large else 0.3),
                "vinegar": rng.random() < (0.1 if large else 0.35),
                "short sleep": short,
                "exercise before": day % 7 in TRAINING and meal == 1,
                "late meal": meal == 2 and rng.random() < 0.4,
            }
            noise = life.hangs * noise + float(np.sqrt(1 - life.hangs**2) * rng.normal(0, spread))
            area = respond(foods, size, world) * (life.walk if on["walk after"] else 1.0)
            area = area * float(np.exp(level + noise - spread**2 / 2)) + float(rng.normal(0, SENSOR_SD))
            area += float(rng.uniform(20, 80)) * (rng.random() < 0.05)
            rows.append(
                Row(
                    area,
                    tuple(note(foods, f, s, world) for f, s in size.items()),
                    SLOTS[meal],
                    day // SENSOR_DAYS,
                    {name: 1.0 for name, yes in on.items() if yes},
                    entry_id=len(rows),
                    day=day,
                )
            )
    return rows
