"""Occasions as the arrays that the food model is fitted to, with the priors of its parameters."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from analysis.foods.rows import Eaten, Row
from analysis.results import Floats

PRIORS = {
    "k0": (0.0, 5.0),
    "k": (log(1.6), 0.6),
    "g": (0.0, 1e-6),
    "a": (0.6, 0.4),
    "h": (0.8, 0.45),
    "fat": (-0.1, 0.15),
    "before": (0.0, 0.006),
}
"""Mean and SD, by judgement: 1.6 mmol/L·min for a gram, widely, since people differ threefold. g is held:
each of its values is a case of its own (`analysis.foods.model.BENDS`)."""
LEADING = ("k0", "k", "g", "a", "h")
SLOT_SD, SENSOR_SD, LEVER_SD = 0.2, 0.1, 0.4
FADE_MIN = 120.0
MOST_FAT_RATIO, LEAST_CARBS = 1.2, 5.0
LEAST_PORTIONS, LEAST_TRUST = 3, 0.2
RANGE_SD = 4.0
"""A gram range from low to high counts as so many SD: amounts said to lie in it mostly do."""
Column = tuple[str, Floats, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Design:
    """The rows as arrays.

    area, extra: signed area (mmol/L·min), and the variance that is known of it, shape (n,)
    grams: of each food, shape (n, F), in the order of `foods`; held: carbohydrate, fat, fibre, (3, n, F)
    around: what multiplies the response apart from the fat ratio, shape (n, p - 1)
    factors: names of what multiplies, shape (p,), the fat ratio last
    prior_mean, prior_sd: of `LEADING` and the factors, shape (5 + p,)
    centre: mean fat ratio of the rows, so that the response for a gram is that of a usual meal
    """

    area: Floats
    extra: Floats
    grams: Floats
    held: Floats
    around: Floats
    foods: tuple[str, ...]
    factors: tuple[str, ...]
    prior_mean: Floats
    prior_sd: Floats
    centre: float

    def x(self, rows: slice | NDArray[np.intp], held: Floats) -> Floats:
        """Return what multiplies, shape (m, p), for some of the rows with other amounts, (3, m, F)."""
        found: Floats = np.column_stack([self.around[rows], fat_ratio(held) - self.centre])
        return found


def fat_ratio(held: Floats) -> Floats:
    """Return how much fat goes with the carbohydrate of each row, up to where more makes no difference."""
    carbs, fat, _ = held.sum(axis=2)
    found: Floats = np.minimum(fat / np.maximum(carbs, LEAST_CARBS), MOST_FAT_RATIO)
    return found


def lay_out(rows: Sequence[Row]) -> Design:
    """Lay rows out as arrays. Raises ValueError without rows."""
    if not rows:
        raise ValueError("a model takes rows")
    foods = tuple(sorted({e.food for row in rows for e in row.eaten}))
    place = {food: k for k, food in enumerate(foods)}
    amounts = np.zeros((4, len(rows), len(foods)))
    for i, row in enumerate(rows):
        for e in row.eaten:
            amounts[:, i, place[e.food]] += (e.grams, e.carbs_g, e.fat_g, e.fibre_g)
    trust = _trust_portions(rows, amounts[0])
    amounts[1:] *= _towards_usual(amounts[0], trust)
    held = amounts[1:]
    columns = list(_around(rows))
    priors = [PRIORS[name] for name in LEADING]
    priors += [prior for _, _, prior in columns] + [PRIORS["fat"]]
    return Design(
        area=np.array([row.area for row in rows]),
        extra=np.array([row.area_sd**2 + trust * _portion_variance(row.eaten) for row in rows]),
        grams=amounts[0],
        held=held,
        around=np.column_stack([column for _, column, _ in columns]),
        foods=foods,
        factors=(*(name for name, _, _ in columns), "fat"),
        prior_mean=np.array([mean for mean, _ in priors]),
        prior_sd=np.array([sd for _, sd in priors]),
        centre=float(fat_ratio(held).mean()),
    )


def _trust_portions(rows: Sequence[Row], grams: Floats) -> float:
    """Return how much of what noted portions vary by is real: 1 - variance of their error / their variance.

    The error is what the gram ranges say. Portions noted too large come with responses that seem too small,
    so that what small meals do would be underrated; this much of each departure from the usual portion is
    believed (regression calibration).
    """
    squares, free, errors = 0.0, 0, []
    for k in range(grams.shape[1]):
        logs = np.log(grams[grams[:, k] > 0, k])
        if logs.size >= LEAST_PORTIONS:
            squares += float(((logs - logs.mean()) ** 2).sum())
            free += logs.size - 1
    for e in (e for row in rows for e in row.eaten):
        if e.grams_low is not None and e.grams_high is not None and e.grams > 0:
            errors.append(((e.grams_high - e.grams_low) / e.grams / RANGE_SD) ** 2)
    if not free or not errors or squares <= 0:
        return 1.0
    return float(np.clip(1 - np.mean(errors) / (squares / free), LEAST_TRUST, 1.0))


def _towards_usual(grams: Floats, trust: float) -> Floats:
    """Return by what each amount is multiplied so that it lies nearer to the food's usual one."""
    eaten = grams > 0
    usual = np.array(
        [np.median(column[on]) if on.any() else 1.0 for column, on in zip(grams.T, eaten.T, strict=True)]
    )
    found: Floats = np.where(eaten, (np.where(eaten, grams, 1.0) / usual) ** (trust - 1.0), 1.0)
    return found


def _portion_variance(eaten: Iterable[Eaten]) -> float:
    """Return what not knowing the portions adds to the variance of an area."""
    wide = 0.0
    for e in eaten:
        if e.grams_low is not None and e.grams_high is not None and e.grams > 0:
            wide += (e.carbs_g * (e.grams_high - e.grams_low) / e.grams / RANGE_SD) ** 2
    return wide * exp(2 * PRIORS["k"][0])


def _around(rows: Sequence[Row]) -> Iterable[Column]:
    """Yield what multiplies the response: slots, sensors, levers and the meal before, with their priors."""
    for slot in sorted({row.slot for row in rows} - {""}):
        yield f"slot {slot}", np.array([float(r.slot == slot) for r in rows]), (0.0, SLOT_SD)
    sensors = list(dict.fromkeys(row.sensor for row in rows))
    for k, sensor in enumerate(sensors if len(sensors) > 1 else []):
        yield f"sensor {k}", np.array([float(r.sensor == sensor) for r in rows]), (0.0, SENSOR_SD)
    for lever in sorted({name for row in rows for name in row.levers}):
        yield lever, np.array([r.levers.get(lever, 0.0) for r in rows]), (0.0, LEVER_SD)
    before = np.array([row.before_carbs * exp(-row.before_min / FADE_MIN) for row in rows])
    yield "before", before - before.mean(), PRIORS["before"]
