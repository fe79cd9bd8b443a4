"""Simulated people who cook a few plates again and again: a third truth, unlike the model and the others.

What a food does grows with less than its carbohydrate (power .85) and with a response of its own (log SD .3);
protein on the plate takes some off; mornings raise by a fifth; noise is lognormal with days that hang
together. Nine plates, the first of them a third of all meals; bread and butter never part.
"""

from dataclasses import dataclass

import numpy as np

from analysis.foods.rows import Eaten, Row
from analysis.results import Floats

FOODS, PLATES = 16, 9
POWER, SCALE, PROTEIN_OFF = 0.85, 3.0, 0.008
OWN_SD, PORTION_SD, SENSOR_SD = 0.3, 0.2, 14.0
SLOTS = ("breakfast", "lunch", "dinner")
MORNING = 1.2


@dataclass(frozen=True)
class Cook:
    """Carbohydrate, fat, fibre, protein (g) of usual portions and responses, shape (16,); plates and days."""

    carbs: Floats
    fat: Floats
    fibre: Floats
    protein: Floats
    own: Floats
    plates: tuple[tuple[int, ...], ...]
    often: Floats
    by_day: Floats
    cv: float

    def eat(self, rng: np.random.Generator, plate: dict[int, float], k: int) -> tuple[Row, dict[int, float]]:
        """Return occasion k, of these portions, and the true effect of each food at its usual one."""
        size = {f: share * float(np.exp(rng.normal(0, PORTION_SD))) for f, share in plate.items()}
        slot = SLOTS[k % 3]
        factor = (MORNING if slot == "breakfast" else 1.0) * float(self.by_day[k // 3 % 28])
        does = {}
        for f in plate:
            rest = {g: s for g, s in size.items() if g != f}
            does[f] = factor * (self._respond({**rest, f: 1.0}) - self._respond(rest))
        log_sd = np.log1p(self.cv**2) ** 0.5
        noise = float(np.exp(rng.normal(-(log_sd**2) / 2, log_sd)))
        area = factor * self._respond(size) * noise + float(rng.normal(0, SENSOR_SD))
        said = {f: s * float(np.exp(rng.normal(0, 0.15))) for f, s in size.items()}
        eaten = tuple(
            Eaten(
                f"food {f}", 100 * s, self.carbs[f] * s, 80 * s, 125 * s, self.fat[f] * s, self.fibre[f] * s
            )
            for f, s in said.items()
        )
        return Row(area, eaten, slot, sensor=k // 42, entry_id=k), does

    def _respond(self, size: dict[int, float]) -> float:
        protein = sum(self.protein[f] * s for f, s in size.items())
        load = sum(SCALE * self.own[f] * (self.carbs[f] * s) ** POWER for f, s in size.items())
        return float(load * np.exp(-PROTEIN_OFF * min(protein, 50.0)))


def draw_cook(rng: np.random.Generator, cv: float = 0.3) -> Cook:
    """Return a person; every third food has hardly any carbohydrate."""
    low = np.arange(FOODS) % 3 == 2
    plates = [
        tuple(rng.choice(FOODS, int(rng.integers(2, 5)), replace=False).tolist()) for _ in range(PLATES)
    ]
    parted = [tuple(sorted({*plate, 0, 2} if {*plate} & {0, 2} else plate)) for plate in plates]
    days = np.zeros(28)
    for day in range(1, 28):
        days[day] = 0.6 * days[day - 1] + rng.normal(0, 0.1)
    return Cook(
        carbs=np.where(low, rng.uniform(0, 6, FOODS), rng.uniform(12, 60, FOODS)),
        fat=rng.uniform(0, 12, FOODS),
        fibre=rng.uniform(0, 6, FOODS),
        protein=np.where(low, rng.uniform(5, 30, FOODS), rng.uniform(0, 8, FOODS)),
        own=np.exp(rng.normal(0, OWN_SD, FOODS)),
        plates=tuple(parted),
        often=np.array([1 / 3, *rng.dirichlet(np.full(PLATES - 1, 2.0)) * 2 / 3]),
        by_day=np.exp(days),
        cv=cv,
    )
