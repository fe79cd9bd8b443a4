"""What made one meal's area what it was: the parts of the food model, by what all other meals say.

The model (`analysis.foods.model`) is fitted to the other occasions alone. Each part is the difference that
one thing makes, all else of this meal left as it was: a food and no such food; an amount and the usual one;
a lever and none or, where it mostly goes with meals and did not go with this one, none and the usual one;
the hour and the mean of all. So parts need not add up. The level before the bite explains nothing; by how
much it shifts what is to be expected is told by `analysis.foods.expected`, and counts in `expected`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from analysis.foods.expected import expect_areas
from analysis.foods.model import Fit, fit_foods, mean_area
from analysis.foods.rows import Row
from analysis.results import Floats

LEVEL = 0.9
EDGES = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
NEED = 3
"""Other occasions from which on a food has a usual amount, and the level before the bite a usual height."""
MOSTLY = 0.5
"""A lever that went with at least so many of the other meals is missed where it did not."""
BLANK_SD = 1e5
SEED = 20264
SLOT = "slot "
"""How the factors of the hour are called in the model."""
Kind = Literal["food", "portion", "lever", "no lever", "slot"]


@dataclass(frozen=True, slots=True)
class Part:
    """What one thing made of the area (mmol/L·min); of an amount also its grams and the usual ones."""

    kind: Kind
    name: str
    area: float
    grams: float = 0.0
    usual_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Explained:
    """One meal's area (mmol/L·min), what the other meals led to expect, at `LEVEL`, and the parts of that.

    others: occasions that say so; foods, parts: the largest first, `parts` all but the foods
    level_mmol, usual_mmol: before this bite, and on average before the others, None where not known
    by_level: by how much that shifts what is expected
    """

    area: float
    expected: float
    low: float
    high: float
    others: int
    foods: tuple[Part, ...]
    parts: tuple[Part, ...]
    level_mmol: float | None = None
    usual_mmol: float | None = None
    by_level: float = 0.0

    @property
    def left(self) -> float:
        """What nothing noted explains."""
        return self.area - self.expected

    @property
    def beyond(self) -> bool:
        """Whether that is more than meals vary by."""
        return not self.low <= self.area <= self.high


def explain(rows: Sequence[Row], k: int) -> Explained:
    """Explain the area of one row by the others."""
    row = rows[k]
    others = [*rows[:k], *rows[k + 1 :]]
    fit = fit_foods([*others, replace(row, area=0.0, area_sd=BLANK_SD)])
    here = _Meal(fit, row)
    usual_mmol, by_level = _find_level(others, row)
    draws = here.mean()
    variance = fit.sd[0] ** 2 + (fit.sd[1] * draws) ** 2 + row.area_sd**2
    came = draws + np.sqrt(variance) * np.random.default_rng(SEED).normal(size=draws.size)
    low, high = np.quantile(came, EDGES)
    parts = [*here.portions(), *here.levers(), *here.slot()]
    return Explained(
        area=row.area,
        expected=float(np.median(draws)) + by_level,
        low=float(low) + by_level,
        high=float(high) + by_level,
        others=len(others),
        foods=_sorted(here.foods()),
        parts=_sorted(parts),
        level_mmol=row.level_mmol,
        usual_mmol=usual_mmol,
        by_level=by_level,
    )


def _sorted(parts: Sequence[Part]) -> tuple[Part, ...]:
    return tuple(sorted(parts, key=lambda part: -abs(part.area)))


def _find_level(others: Sequence[Row], row: Row) -> tuple[float | None, float]:
    """Return the usual level before meals, and how far this one's shifts what is expected of it."""
    known = [other.level_mmol for other in others if other.level_mmol is not None]
    if row.level_mmol is None or len(known) < NEED:
        return None, 0.0
    usual = float(np.mean(known))
    here, there = (
        expect_areas([*others, replace(row, level_mmol=level)])[-1].area for level in (row.level_mmol, usual)
    )
    return usual, here - there


class _Meal:
    """The last row of a fitted design, and what becomes of its mean area when something of it is changed."""

    def __init__(self, fit: Fit, row: Row) -> None:
        self.fit, self.row, self.design = fit, row, fit.design
        self.held = self.design.held[:, -1:, :]
        self.x = self.design.x(slice(-1, None), self.held)
        self.before = self.mean()

    def mean(self, held: Floats | None = None, x: Floats | None = None) -> Floats:
        """Return the draws of its mean area, with other amounts or other factors; the fat ratio follows."""
        amounts = self.held if held is None else held
        factors = self.design.x(slice(-1, None), amounts) if x is None else x
        return mean_area(self.fit.draws, amounts, factors)[:, 0]

    def _part(self, kind: Kind, name: str, changed: Floats, grams: float = 0.0, usual_g: float = 0.0) -> Part:
        return Part(kind, name, float(np.median(self.before - changed)), grams, usual_g)

    def foods(self) -> list[Part]:
        """What each food adds to this meal."""
        found = []
        for k in np.flatnonzero(self.design.grams[-1] > 0):
            held = self.held.copy()
            held[:, :, k] = 0.0
            grams = float(self.design.grams[-1, k])
            found.append(self._part("food", self.design.foods[k], self.mean(held), grams))
        return found

    def portions(self) -> list[Part]:
        """What each amount adds beside the usual one of the other meals."""
        found = []
        for k in np.flatnonzero(self.design.grams[-1] > 0):
            inside = np.flatnonzero(self.design.grams[:-1, k] > 0)
            if inside.size < NEED:
                continue
            held = self.held.copy()
            held[:, 0, k] = np.median(self.design.held[:, inside, k], axis=1)
            grams, usual = float(self.design.grams[-1, k]), float(np.median(self.design.grams[inside, k]))
            found.append(self._part("portion", self.design.foods[k], self.mean(held), grams, usual))
        return found

    def levers(self) -> list[Part]:
        """What each lever did that went with it, and what those that mostly do and did not."""
        found = []
        for column, name in enumerate(self.design.factors):
            amounts = self.design.around[:-1, column] if column < self.design.around.shape[1] else np.zeros(0)
            if name in self.row.levers and self.row.levers[name] > 0:
                found.append(self._part("lever", name, self._with(column, 0.0)))
            elif _is_lever(name) and (amounts > 0).mean() >= MOSTLY:
                usual = float(np.median(amounts[amounts > 0]))
                found.append(self._part("no lever", name, self._with(column, usual)))
        return found

    def slot(self) -> list[Part]:
        """What the hour did, beside all meals."""
        x = self.x.copy()
        columns = [k for k, name in enumerate(self.design.factors) if name.startswith(SLOT)]
        x[:, columns] = self.design.around[:-1, columns].mean(axis=0)
        return [self._part("slot", self.row.slot, self.mean(x=x))] if self.row.slot else []

    def _with(self, column: int, amount: float) -> Floats:
        x = self.x.copy()
        x[:, column] = amount
        return self.mean(x=x)


def _is_lever(name: str) -> bool:
    """Tell a lever from the other factors of the model."""
    return not name.startswith((SLOT, "sensor ")) and name not in ("before", "fat")
