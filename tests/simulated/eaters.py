"""Simulated people who eat from a small kitchen for weeks: foods that respond unlike their carbohydrate.

Otherwise than the model supposes: responses of foods add up and saturate, protein counts a little, noise is
gamma distributed on the whole response, portions are misjudged, habits go with meals, some bites are late.
"""

from dataclasses import dataclass

import numpy as np

from analysis.foods.rows import Eaten, Row
from analysis.results import Floats

MOST, LARGE_G = 260.0, 55.0
"""Area that no meal comes above (mmol/L·min), and carbohydrate of a large meal."""


@dataclass(frozen=True)
class Kitchen:
    """The foods of a person: names, carbohydrate, fat and fibre of a portion, true response for a gram."""

    names: tuple[str, ...]
    grams: Floats
    carbs: Floats
    fat: Floats
    fibre: Floats
    response: Floats


def kitchen(rng: np.random.Generator, foods: int = 24, spread: float = 0.35) -> Kitchen:
    """Return foods of which a quarter have next to no carbohydrate; spread: SD of log response for a gram."""
    carbs = np.where(np.arange(foods) % 4 == 3, rng.uniform(0, 4, foods), rng.uniform(10, 60, foods))
    return Kitchen(
        tuple(f"food {k}" for k in range(foods)),
        rng.uniform(40, 250, foods),
        carbs,
        rng.uniform(0, 14, foods) + 8 * (np.arange(foods) % 4 == 3),
        rng.uniform(0, 6, foods),
        1.6 * np.exp(rng.normal(0, spread, foods)),
    )


def eat_for_weeks(
    rng: np.random.Generator,
    pantry: Kitchen,
    days: int = 28,
    cv: float = 0.3,
    walk: float = 0.8,
    confounded: bool = True,
) -> tuple[list[Row], Floats]:
    """Return the occasions of some weeks, and the true mean effect of each food's usual portion.

    walk: what a walk after it multiplies the response by; confounded: it goes with large meals
    Vinegar and a walk hours before do nothing; the former goes with small meals, the latter with large ones.
    """
    n = len(pantry.names)
    staples = [tuple(rng.choice(n, size=rng.integers(1, 4), replace=False)) for _ in range(9)]
    popular = rng.dirichlet(np.full(9, 1.2))
    rows: list[Row] = []
    truth: list[list[float]] = [[] for _ in range(n)]
    for k in range(3 * days):
        which = list(staples[rng.choice(9, p=popular)])
        if rng.random() < 0.35:
            which.append(int(rng.integers(n)))
        size = {f: float(np.exp(rng.normal(0, 0.2))) for f in set(which)}
        said = {f: size[f] * float(np.exp(rng.normal(0, 0.1))) for f in size}
        large = sum(pantry.carbs[f] * size[f] for f in size) > LARGE_G and confounded
        often = 0.5 if large else 0.25
        levers = {
            "walk after": float(rng.random() < (often if confounded else 1 / 3)),
            "vinegar": float(rng.random() < (0.1 if large else 0.35)),
            "walk hours before": float(rng.random() < (0.5 if large else 0.2)),
        }
        factor = (walk if levers["walk after"] else 1.0) * (1.1 if k % 3 == 0 else 0.95)
        for f in size:
            rest = {g: s for g, s in size.items() if g != f}
            truth[f].append(factor * (respond(pantry, {**rest, f: 1.0}) - respond(pantry, rest)))
        area = factor * respond(pantry, size) * rng.gamma(1 / cv**2, cv**2) + rng.normal(0, 14)
        eaten = tuple(_note(pantry, f, said[f]) for f in size)
        slot = ("breakfast", "lunch", "dinner")[k % 3]
        rows.append(Row(float(area), eaten, slot, k // (3 * 14), levers, entry_id=k))
    return rows, np.array([np.mean(each) if each else np.nan for each in truth])


def respond(pantry: Kitchen, of: dict[int, float]) -> float:
    """Return the expected area of some foods, in portions each; large loads saturate, fat takes some off."""
    carbs = sum(pantry.carbs[f] * size for f, size in of.items())
    fat = sum(pantry.fat[f] * size for f, size in of.items())
    load = sum(pantry.carbs[f] * size * pantry.response[f] for f, size in of.items())
    return float(np.exp(-0.3 * min(fat / max(carbs, 5), 1.2)) * MOST * (1 - np.exp(-load / MOST)))


def _note(pantry: Kitchen, f: int, said: float) -> Eaten:
    """Return a food as it was noted, in portions."""
    grams = pantry.grams[f] * said
    held = (pantry.carbs[f] * said, grams * 0.8, grams * 1.25, pantry.fat[f] * said, pantry.fibre[f] * said)
    return Eaten(pantry.names[f], grams, *held)
