"""What a fitted food model says of several foods at once: a dish, two foods side by side, portions of one.

All are differences of expected signed two-hour areas (mmol/L·min) over occasions as they were, with the same
draws for both sides, so that what is not known of both alike drops out.

Two foods whose difference is said to be beyond chance (`SURE`): see `tests.bench.conclusions_two_foods`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.foods.effects import EDGES, add_foods, usual_portions
from analysis.foods.model import Fit, mean_area
from analysis.results import Floats

SURE = 0.975
"""So probable it must be that one of two foods does more before that is said: two-sided 95 %."""
LEAST_CARBS_G = 8.0
"""Of a portion with less, nothing is said for a gram."""
STEPS, MOST_SHARE = 25, 1.15
"""Points of a portion's curve, and how far beyond the largest portion it goes."""


@dataclass(frozen=True, slots=True)
class Contrast:
    """A difference of areas (mmol/L·min): median of the draws, and its 0.9 interval."""

    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class DishEffect:
    """What the parts of a dish add together at their usual portions.

    occasions: with all of its parts; parts: foods in the order given; grams: their usual portions
    """

    occasions: int
    parts: tuple[str, ...]
    grams: tuple[float, ...]
    effect: Contrast


@dataclass(frozen=True, slots=True)
class TwoFoods:
    """Two foods (or kinds of food) at their usual portions, each put on the same plates.

    occasions, carbs_g: of each; effects: of each
    difference: the first minus the second; first_more: how probable it is that it is above 0
    gram_more: how probable it is that the first does more for a gram of carbohydrate, None where one of
    them has next to none
    together: occasions that held both
    """

    occasions: tuple[int, int]
    carbs_g: tuple[float, float]
    effects: tuple[Contrast, Contrast]
    difference: Contrast
    first_more: float
    gram_more: float | None
    together: int

    @property
    def differ(self) -> bool:
        """Whether it may be said which of the two does more."""
        return max(self.first_more, 1 - self.first_more) >= SURE


@dataclass(frozen=True, slots=True)
class Portions:
    """What a food adds by its portion, and what its occasions showed.

    grams, middle, low, high: the curve and its 0.9 band, shape (k,)
    seen_grams, seen: of each occasion, its portion and the curve there plus what of its area the model does
    not explain, so that the rest of the plate and all else is counted out, shape (n,)
    usual_g: the usual portion
    """

    food: str
    grams: Floats
    middle: Floats
    low: Floats
    high: Floats
    seen_grams: Floats
    seen: Floats
    usual_g: float


@dataclass(frozen=True, slots=True)
class Changed:
    """What another portion of a food adds, and how that differs from the usual one.

    grams, usual_g: this portion and the usual one; lightest_g, heaviest_g: of those eaten in `occasions`
    adds, usual_adds: estimates (mmol/L·min); change: the former minus the latter
    """

    food: str
    occasions: int
    grams: float
    usual_g: float
    lightest_g: float
    heaviest_g: float
    adds: float
    usual_adds: float
    change: Contrast

    @property
    def tried(self) -> bool:
        """Whether portions so small and so large were eaten: else it is a guess along the model's line."""
        return self.lightest_g <= self.grams <= self.heaviest_g


def occasions_of(fit: Fit, foods: Sequence[str]) -> NDArray[np.intp]:
    """Return the rows that held all of some foods, shape (n,)."""
    eaten = fit.design.grams[:, _places(fit, foods)] > 0
    found: NDArray[np.intp] = np.flatnonzero(eaten.all(axis=1))
    return found


def judge_dish(fit: Fit, parts: Sequence[str], rows: Sequence[int] | NDArray[np.intp]) -> DishEffect:
    """Return what the parts of a dish add together, over rows that held all of them (one at least)."""
    places, inside = _places(fit, parts), np.asarray(rows, dtype=np.intp)
    usual, grams = usual_portions(fit, places, inside)
    draws = add_foods(fit, inside, places, usual)
    return DishEffect(int(inside.size), tuple(parts), tuple(grams.tolist()), _sum_up(draws))


def compare_foods(fit: Fit, first: Sequence[str], second: Sequence[str]) -> TwoFoods | None:
    """Return how two foods compare; None where one was never eaten, or they are the same.

    first, second: names of foods; several of a side are kinds of it ("white rice", "brown rice"), each of
    which counts by how often it was eaten
    """
    sides = [_places(fit, side) for side in (first, second)]
    eaten = fit.design.grams > 0
    held = [eaten[:, side].any(axis=1) for side in sides]
    if set(sides[0]) & set(sides[1]) or not all(rows.any() for rows in held):
        return None
    rows = np.flatnonzero(held[0] | held[1])
    draws, portion_carbs, for_a_gram = [], [], []
    for side in sides:
        weights = eaten[:, side].sum(axis=0).astype(float)
        weights /= weights.sum()
        usual = [usual_portions(fit, [k], np.flatnonzero(eaten[:, k]))[0] for k in side]
        added = [
            add_foods(fit, rows, [k], amount, instead=[*sides[0], *sides[1]])
            for k, amount in zip(side, usual, strict=True)
        ]
        draws.append(sum(w * each for w, each in zip(weights, added, strict=True)))
        portion_carbs.append(float(sum(w * amount[0, 0] for w, amount in zip(weights, usual, strict=True))))
        for_a_gram.append(fit.own[:, side] @ weights)
    difference = draws[0] - draws[1]
    judged = min(portion_carbs) >= LEAST_CARBS_G
    return TwoFoods(
        occasions=(int(held[0].sum()), int(held[1].sum())),
        carbs_g=(portion_carbs[0], portion_carbs[1]),
        effects=(_sum_up(draws[0]), _sum_up(draws[1])),
        difference=_sum_up(difference),
        first_more=float((difference > 0).mean()),
        gram_more=float((for_a_gram[0] > for_a_gram[1]).mean()) if judged else None,
        together=int((held[0] & held[1]).sum()),
    )


def respond_to_portions(fit: Fit, food: str) -> Portions:
    """Return what a food adds from nothing to beyond its largest portion. Raises ValueError if unknown."""
    place = _places(fit, [food])
    rows = occasions_of(fit, [food])
    usual, usual_g = usual_portions(fit, place, rows)
    seen_grams = fit.design.grams[rows, place[0]]
    grams = np.linspace(0.0, MOST_SHARE * float(seen_grams.max()), STEPS)
    draws = np.column_stack([add_foods(fit, rows, place, usual * g / usual_g[0]) for g in grams])
    low, middle, high = np.quantile(draws, (EDGES[0], 0.5, EDGES[1]), axis=0)
    design = fit.design
    held = design.held[:, rows]
    mu = mean_area(fit.draws, held, design.x(rows, held)).mean(axis=0)
    seen = np.interp(seen_grams, grams, middle) + design.area[rows] - mu
    return Portions(food, grams, middle, low, high, seen_grams, seen, float(usual_g[0]))


def change_portion(fit: Fit, food: str, grams: float) -> Changed:
    """Return what `grams` of a food add, beside its usual portion. Raises ValueError for an unknown food."""
    place = _places(fit, [food])
    rows = occasions_of(fit, [food])
    usual, usual_g = usual_portions(fit, place, rows)
    eaten = fit.design.grams[rows, place[0]]
    asked, as_usual = (
        add_foods(fit, rows, place, usual * g / usual_g[0]) for g in (grams, float(usual_g[0]))
    )
    return Changed(
        food=food,
        occasions=int(rows.size),
        grams=grams,
        usual_g=float(usual_g[0]),
        lightest_g=float(eaten.min()),
        heaviest_g=float(eaten.max()),
        adds=float(np.median(asked)),
        usual_adds=float(np.median(as_usual)),
        change=_sum_up(asked - as_usual),
    )


def _places(fit: Fit, foods: Sequence[str]) -> list[int]:
    return [fit.design.foods.index(food) for food in foods]


def _sum_up(draws: Floats) -> Contrast:
    low, middle, high = np.quantile(draws, (EDGES[0], 0.5, EDGES[1]))
    return Contrast(float(middle), float(low), float(high))
