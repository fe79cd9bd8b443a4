"""Simulated people with 20 foods in 20 dishes, some never apart: additive, saturating, or with all faults.

What a food does is carbs - 0.8 fat - fibre of its portion times a response of its own (log SD .25); responses
add up, or saturate. Portions vary by a log SD of .28. None of this is the form of `analysis.foods.model`.
"""

from dataclasses import dataclass, replace

import numpy as np

from analysis.foods.rows import Eaten, Row
from analysis.results import Floats

FOODS, DISHES, MEALS = 20, 20, 100
OWN_SD, PORTION_SD, SCALE = 0.25, 0.28, 1.7
SENSOR_SD = 14.0
"""Of an area (mmol/L·min): about what noise of SD .15 mmol/L, autocorrelation .7, makes of it."""
MOST = 260.0


@dataclass(frozen=True)
class World:
    """How a person responds, and what is wrong with their notes.

    cv: of responses; walks: of large meals, worth 30 % off; days: SD of a day's effect (log)
    saturates: large responses do, and fat takes off a share of what is eaten with it
    faults: portions noted 30 % off, bites off by 8 min, 15 % of the meals with something unlogged
    """

    cv: float = 0.22
    walks: bool = False
    days: float = 0.0
    saturates: bool = False
    faults: bool = False


@dataclass(frozen=True)
class Foods:
    """Carbohydrate, fat and fibre of each food's usual portion (g), and its own response; shape (20,)."""

    carbs: Floats
    fat: Floats
    fibre: Floats
    own: Floats

    @property
    def line(self) -> Floats:
        """What nutrients alone say of a portion, up to scale."""
        found: Floats = self.carbs - 0.8 * self.fat - self.fibre
        return found


def stock(rng: np.random.Generator) -> Foods:
    """Return 20 foods: 13 with carbohydrate, 7 with hardly any."""
    starchy = np.arange(FOODS) < 13
    return Foods(
        np.where(starchy, rng.uniform(10, 55, FOODS), rng.uniform(0, 7, FOODS)),
        np.where(starchy, rng.uniform(0, 5, FOODS), rng.uniform(0, 15, FOODS)),
        rng.uniform(0, 5, FOODS),
        np.exp(rng.normal(0, OWN_SD, FOODS)),
    )


def live(rng: np.random.Generator, foods: Foods, world: World) -> tuple[list[Row], Floats]:
    """Return 100 occasions, and each food's true mean effect at its median portion (NaN = not eaten)."""
    dishes = [draw_dish(rng) for _ in range(DISHES)]
    eaten = [dishes[int(rng.integers(DISHES))] for _ in range(MEALS)]
    sizes = [{f: float(np.exp(rng.normal(0, PORTION_SD))) for f in dish} for dish in eaten]
    known = {f for size in sizes for f in size}
    usual = {f: float(np.median([size[f] for size in sizes if f in size])) for f in known}
    rows: list[Row] = []
    truth: list[list[float]] = [[] for _ in range(FOODS)]
    by_day = np.exp(rng.normal(0, world.days, 28))
    for k, size in enumerate(sizes):
        row, does = eat(rng, foods, size, usual, world, k, float(by_day[k * 28 // MEALS]))
        rows.append(row)
        for f, effect in does.items():
            truth[f].append(effect)
    return rows, np.array([np.mean(each) if each else np.nan for each in truth])


def eat(
    rng: np.random.Generator, foods: Foods, size: dict[int, float], usual: dict[int, float], world: World,
    k: int, of_day: float = 1.0,
) -> tuple[Row, dict[int, float]]:  # fmt: skip
    """Return occasion k, of these portions, and the true effect of each of its foods at its usual portion."""
    large = sum(foods.carbs[f] * s for f, s in size.items()) > 60
    walked = world.walks and rng.random() < (0.6 if large else 0.15)
    factor = (0.7 if walked else 1.0) * of_day
    does = {}
    for f in size:
        rest = {g: s for g, s in size.items() if g != f}
        with_it = respond(foods, {**rest, f: usual[f]}, world)
        does[f] = factor * (with_it - respond(foods, rest, world))
    area = factor * respond(foods, size, world) * float(rng.gamma(1 / world.cv**2, world.cv**2))
    area += float(rng.normal(0, SENSOR_SD))
    if world.faults:
        size = {f: s * float(np.exp(rng.normal(0, 0.3))) for f, s in size.items()}
        area *= 1 - 0.024 * max(0.0, float(rng.normal(0, 8)))  # 15 min late loses 49 of 135
        area += float(rng.uniform(20, 80)) * (rng.random() < 0.15)
    row = Row(area, tuple(note(foods, f, s, world) for f, s in size.items()), sensor=k // 50, entry_id=k)
    return replace(row, levers={"walk after": 1.0} if walked else {}), does


def draw_dish(rng: np.random.Generator) -> list[int]:
    """Return 2 to 4 foods; foods 0 and 1 only ever go together, as do 2 and 13."""
    chosen = set(rng.choice(FOODS, size=int(rng.integers(2, 5)), replace=False).tolist())
    for pair in ({0, 1}, {2, 13}):
        if chosen & pair:
            chosen |= pair
    return sorted(chosen)


def respond(foods: Foods, size: dict[int, float], world: World) -> float:
    """Return the expected area of some foods, in portions each."""
    load = sum(SCALE * foods.own[f] * foods.line[f] * s for f, s in size.items())
    if not world.saturates:
        return float(load)
    carbs = sum(foods.carbs[f] * s for f, s in size.items())
    fat = sum(foods.fat[f] * s for f, s in size.items())
    delayed = 1 - 0.3 * min(fat / max(carbs, 5.0), 1.0)
    return float(delayed * MOST * np.tanh(load / MOST))


def note(foods: Foods, f: int, s: float, world: World) -> Eaten:
    """Return a food as noted; its usual portion is 100 g."""
    wide = 1.5 if world.faults else 1.05
    held = (foods.carbs[f] * s, 100 * s / wide, 100 * s * wide, foods.fat[f] * s, foods.fibre[f] * s)
    return Eaten(f"food {f}", 100 * s, *held)
