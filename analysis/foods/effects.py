"""What each food adds: estimate and interval, what nutrients alone say, the plain average, and its companions."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.foods.model import Fit, fit_foods
from analysis.foods.rows import Row

NOT_LEARNT = 0.8
"""Posterior over prior variance from which on a food has shown nothing of its own."""
WELDED = -0.7
"""Posterior correlation of two foods' log responses below which they are not told apart."""
NEED = 2
"""Occasions a food takes to be told of by itself."""


@dataclass(frozen=True, slots=True)
class FoodEffect:
    """What the typical portion of a food adds to the signed two-hour area (mmol/L·min), at level 0.9.

    occasions: it was in; grams: its usual portion; nutrients_say: were it as its carbohydrate is on average
    plain_mean: mean area of its occasions, whatever else was in them; half, half_more: for half and one and a
    half portions; together_with: foods it is not told apart from; learnt: whether it showed anything of its own
    """

    food: str
    occasions: int
    grams: float
    carbs_g: float
    estimate: float
    low: float
    high: float
    nutrients_say: float
    plain_mean: float
    half: float
    half_more: float
    together_with: tuple[str, ...]
    learnt: bool


def judge_foods(rows: Sequence[Row]) -> list[FoodEffect]:
    """Return what each food with carbohydrate adds, the most first; [] without rows."""
    if not rows:
        return []
    fit = fit_foods(rows)
    design = fit.design
    found = []
    welded = _welded(fit)
    for k, food in enumerate(design.foods):
        inside = np.flatnonzero(design.carbs[:, k] > 0)
        grams = [sum(e.grams for e in rows[i].eaten if e.food == food) for i in inside]
        carbs = design.carbs[inside, k]
        effects = _effect(fit, inside, k, 1.0)
        alone = fit.draws.copy()
        alone[:, 3 + design.x.shape[1] + k] = 0.0
        low, high = np.quantile(effects, (0.05, 0.95))
        own = fit.draws[:, 3 + design.x.shape[1] + k]
        found.append(
            FoodEffect(
                food,
                inside.size,
                float(np.median(grams)),
                float(np.median(carbs)),
                float(np.median(effects)),
                float(low),
                float(high),
                float(np.median(_effect(fit, inside, k, 1.0, alone))),
                float(design.area[inside].mean()),
                float(np.median(_effect(fit, inside, k, 0.5))),
                float(np.median(_effect(fit, inside, k, 1.5))),
                tuple(design.foods[j] for j in welded.get(k, ())),
                bool(own.var() < NOT_LEARNT * 0.3**2),
            )  # fmt: skip
        )
    return sorted(found, key=lambda one: (-one.estimate, one.food))


def _effect(
    fit: Fit,
    inside: np.ndarray[tuple[int], np.dtype[np.int_]],
    k: int,
    share: float,
    draws: np.ndarray | None = None,
) -> np.ndarray:
    """Return the mean over the food's occasions of mu with it minus without it, one for each draw."""
    theta = fit.draws if draws is None else draws
    x = fit.design.x[inside]
    without = fit.design.carbs[inside].copy()
    without[:, k] = 0.0
    having = without.copy()
    having[:, k] = share * float(np.median(fit.design.carbs[inside, k]))
    return (fit.mean(theta, having, x) - fit.mean(theta, without, x)).mean(axis=1)


def _welded(fit: Fit) -> dict[int, list[int]]:
    """Return for each food those whose response is not told apart from its own."""
    p = fit.design.x.shape[1]
    own = fit.draws[:, 3 + p :]
    if own.shape[1] < 2:
        return {}
    correlation = np.corrcoef(own.T)
    pairs: dict[int, list[int]] = {}
    for a in range(own.shape[1]):
        for b in range(own.shape[1]):
            together = ((fit.design.carbs[:, a] > 0) & (fit.design.carbs[:, b] > 0)).sum()
            alone = ((fit.design.carbs[:, a] > 0) ^ (fit.design.carbs[:, b] > 0)).sum()
            if a != b and (correlation[a, b] < WELDED or (together >= NEED and alone == 0)):
                pairs.setdefault(a, []).append(b)
    return pairs
