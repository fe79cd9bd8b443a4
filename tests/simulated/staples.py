"""Simulated people who eat one breakfast day after day and change one thing at a time.

Otherwise than the model supposes: each food's response for a gram is its own, portions are misjudged beside
varying, loads add up or saturate, fat delays, days act on all that is eaten in them, and walks follow the
larger bowls. Some changes do nothing at all: cinnamon, and one milk for another.
"""

from dataclasses import dataclass, replace

import numpy as np

from analysis.foods.rows import Eaten, Row

PANTRY = {
    "flakes": (55.0, 34.0, 4.0, 5.0), "milk": (180.0, 9.0, 3.0, 0.0), "banana": (105.0, 22.0, 0.3, 2.7),
    "walnuts": (15.0, 1.0, 9.8, 1.0), "berries": (80.0, 8.0, 0.4, 4.0), "soy drink": (180.0, 9.0, 3.0, 0.0),
    "honey": (12.0, 10.0, 0.0, 0.0), "rye bread": (90.0, 40.0, 1.5, 7.0), "cheese": (40.0, 0.5, 11.0, 0.0),
    "noodles": (210.0, 52.0, 2.0, 3.0), "beans": (140.0, 19.0, 0.8, 9.0), "salmon": (130.0, 0.0, 16.0, 0.0),
    "potatoes": (230.0, 38.0, 0.3, 4.0), "salad": (90.0, 2.5, 5.0, 1.6), "bun": (60.0, 31.0, 5.0, 1.0),
}  # fmt: skip
"""Usual portion, and its carbohydrate, fat and fibre (g)."""
USUAL = ("flakes", "milk", "banana")
OTHERS = (
    ("rye bread", "cheese", "salad"), ("noodles", "salad"), ("beans", "potatoes"),
    ("salmon", "potatoes", "salad"), ("noodles", "beans"), ("bun", "banana"), ("salmon", "noodles"),
    ("rye bread", "walnuts", "honey"),
)  # fmt: skip
OWN_SD, PORTION_SD, SENSOR_SD = 0.25, 0.15, 14.0
FACTORS = {"walk after": 0.75, "cinnamon": 1.0}
MOST = 260.0
CHANGES: dict[str, float] = {
    "no banana": 0.11, "walnuts": 0.11, "half the flakes": 0.11, "berries instead": 0.1, "soy drink": 0.09,
    "cinnamon": 0.1, "honey": 0.03,
}  # fmt: skip
"""How often what is changed; else nothing."""


@dataclass(frozen=True)
class World:
    """How a person responds, and what is wrong with their notes.

    cv: of responses; misjudged: log SD of noted over true portions; days: log SD of a day's effect
    saturates: large loads do, and fat takes some off; walks: after larger bowls rather than smaller ones
    equal: no change does anything: neither foods nor walks
    """

    cv: float = 0.25
    saturates: bool = False
    misjudged: float = 0.1
    days: float = 0.0
    walks: bool = True
    equal: bool = False


def bowl(change: str) -> dict[str, float]:
    """Return the portions (1 = usual) of the breakfast with a change.

    >>> bowl("half the flakes")
    {'flakes': 0.5, 'milk': 1.0, 'banana': 1.0}
    """
    size = dict.fromkeys(USUAL, 1.0)
    if change == "no banana":
        del size["banana"]
    elif change in ("walnuts", "honey"):
        size[change] = 1.0
    elif change == "half the flakes":
        size["flakes"] = 0.5
    elif change == "berries instead":
        del size["banana"]
        size["berries"] = 1.0
    elif change == "soy drink":
        del size["milk"]
        size["soy drink"] = 1.0
    return size


def respond(own: dict[str, float], size: dict[str, float], world: World) -> float:
    """Return the expected signed area of some foods (mmol/L·min)."""
    if world.equal and "milk" in size | {"milk": 0} and size.keys() & {"flakes"}:
        return 105.0
    load = sum(own[f] * n * (PANTRY[f][1] - 0.5 * PANTRY[f][2] - 0.8 * PANTRY[f][3]) for f, n in size.items())
    if not world.saturates:
        return float(load)
    carbs, fat = (sum(PANTRY[f][k] * n for f, n in size.items()) for k in (1, 2))
    delayed = 1 - 0.3 * min(fat / max(carbs, 5.0), 1.0)
    return float(delayed * MOST * np.tanh(max(load, 0.0) / MOST))


def live(rng: np.random.Generator, world: World, days: int = 28) -> tuple[list[Row], dict[str, float]]:
    """Return the occasions of some weeks, and what each change truly does to the breakfast's area."""
    own = {food: float(1.7 * np.exp(rng.normal(0, OWN_SD))) for food in PANTRY}
    own["soy drink"] = own["milk"]
    rows: list[Row] = []
    for day in range(days):
        of_day = float(np.exp(rng.normal(0, world.days)))
        for slot in ("breakfast", "lunch", "dinner"):
            levers: dict[str, float] = {}
            if slot == "breakfast" and rng.random() < 0.88:
                change = str(rng.choice([*CHANGES, ""], p=[*CHANGES.values(), 1 - sum(CHANGES.values())]))
                size = bowl(change)
                if change == "cinnamon":
                    levers["cinnamon"] = 1.0
            else:
                size = dict.fromkeys(OTHERS[int(rng.integers(len(OTHERS)))], 1.0)
            size = {f: n * float(np.exp(rng.normal(0, PORTION_SD))) for f, n in size.items()}
            large = respond(own, size, replace(world, equal=False)) > 100
            if rng.random() < ((0.35 if large else 0.08) if world.walks else 0.2):
                levers["walk after"] = 1.0
            factor = of_day * (1.0 if world.equal else np.prod([FACTORS[name] for name in levers]))
            area = factor * respond(own, size, world) * rng.gamma(1 / world.cv**2, world.cv**2)
            noted = {f: n * float(np.exp(rng.normal(0, world.misjudged))) for f, n in size.items()}
            eaten = tuple(_note(f, n, world) for f, n in noted.items())
            order = rng.permutation(len(eaten))
            rows.append(
                Row(
                    float(area + rng.normal(0, SENSOR_SD)),
                    tuple(eaten[k] for k in order),
                    slot,
                    day // 14,
                    levers,
                    entry_id=len(rows),
                )
            )
    usual = respond(own, bowl(""), world)
    truth = {change: respond(own, bowl(change), world) - usual for change in CHANGES}
    truth["walk after"] = 0.0 if world.equal else usual * (FACTORS["walk after"] - 1)
    return rows, truth


def _note(food: str, n: float, world: World) -> Eaten:
    grams, carbs, fat, fibre = (n * held for held in PANTRY[food])
    wide = float(np.exp(2 * max(world.misjudged, 0.05)))
    return Eaten(food, grams, carbs, grams / wide, grams * wide, fat, fibre)
