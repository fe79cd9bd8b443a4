"""Simulated people who eat from a small kitchen for weeks: foods that respond unlike their carbohydrate.

Otherwise than the model supposes: responses of foods add up and saturate, protein counts a little, noise is
gamma distributed on the whole response, portions are misjudged, habits go with meals, some bites are late.
"""

from dataclasses import dataclass

import numpy as np

from analysis.foods.rows import Eaten, Row
from analysis.results import Floats


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
    rng: np.random.Generator, pantry: Kitchen, days: int = 28, cv: float = 0.3, walk: float = 0.8
) -> tuple[list[Row], Floats]:
    """Return the occasions of some weeks, and the true mean effect of each food's usual portion.

    walk: what a walk after it multiplies the response by; people walk more after large meals
    """
    n = len(pantry.names)
    staples = [tuple(rng.choice(n, size=rng.integers(1, 4), replace=False)) for _ in range(9)]
    popular = rng.dirichlet(np.full(9, 1.2))
    rows, truth = [], [[] for _ in range(n)]
    for k in range(3 * days):
        which = list(staples[rng.choice(9, p=popular)])
        if rng.random() < 0.35:
            which.append(int(rng.integers(n)))
        size = {f: float(np.exp(rng.normal(0, 0.2))) for f in set(which)}
        said = {f: size[f] * float(np.exp(rng.normal(0, 0.1))) for f in size}
        carbs = sum(pantry.carbs[f] * size[f] for f in size)
        fat = sum(pantry.fat[f] * size[f] for f in size)
        went = float(rng.random() < (0.5 if carbs > 55 else 0.25))
        factor = (
            (walk if went else 1.0)
            * (1.1 if k % 3 == 0 else 0.95)
            * np.exp(-0.3 * min(fat / max(carbs, 5), 1.2))
        )

        def respond(of: dict[int, float], factor: float = factor) -> float:
            load = sum(pantry.carbs[f] * size_of * pantry.response[f] for f, size_of in of.items())
            return factor * 260 * (1 - np.exp(-load / 260))  # large loads saturate

        whole = respond(size)
        for f in size:
            rest = {g: s for g, s in size.items() if g != f}
            truth[f].append(respond({**rest, f: 1.0}) - respond(rest))
        area = whole * rng.gamma(1 / cv**2, cv**2) + rng.normal(0, 14)
        rows.append(
            Row(
                float(area),
                tuple(
                    Eaten(
                        pantry.names[f],
                        pantry.grams[f] * said[f],
                        pantry.carbs[f] * said[f],
                        pantry.grams[f] * said[f] * 0.8,
                        pantry.grams[f] * said[f] * 1.25,
                    )  # fmt: skip
                    for f in size
                ),
                ("breakfast", "lunch", "dinner")[k % 3],
                k // (3 * 14),
                fat_g=float(fat),
                fibre_g=float(sum(pantry.fibre[f] * size[f] for f in size)),
                levers={"walk after": went},
                entry_id=k,
            )
        )
    return rows, np.array([np.mean(each) if each else np.nan for each in truth])
