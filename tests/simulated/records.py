"""Simulated weeks of eating with habits that go with some meals: what comparisons are judged on."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from analysis.evenness import score_curve
from analysis.results import Serving
from tests.simulated.meals import MINUTES, Kind, curve_of, eat, week_of_unequals

MONDAY = datetime(2026, 3, 2, 7, tzinfo=UTC)


@dataclass(frozen=True)
class Record:
    """Servings in the order of time, the day of each, and which habits went with it, shape (n, habits)."""

    servings: list[Serving]
    days: list[int]
    habits: NDArray[np.bool_]

    def arms(self, habit: int, until: int) -> tuple[list[Serving], list[Serving], list[list[int]]]:
        """Return the servings without and with a habit among the first `until`, and the days of each."""
        without, having, days = [], [], [[], []]
        for k in range(until):
            on = bool(self.habits[k, habit])
            (having if on else without).append(self.servings[k])
            days[on].append(self.days[k])
        return without, having, days


def record(
    rng: np.random.Generator, *, days: int = 21, a_day: int = 3, habits: int = 10, cv: float = 0.25,
    effects: dict[int, float] | None = None, staple: bool = False, day_cv: float = 0.1,
) -> Record:  # fmt: skip
    """Return a record in which a habit multiplies the response by its effect (1.0 = does nothing).

    staple: one meal every time; else a dozen unlike ones. Portions vary by a fifth and the response with
    them; days differ as a whole; habits come in runs, as people have them, and with large portions.
    """
    kinds = [Kind(110.0, 50.0)] if staple else week_of_unequals(rng, 12)
    n = days * a_day
    size = np.exp(rng.normal(0, 0.2, n))
    having = np.empty((n, habits), dtype=np.bool_)
    for h in range(habits):
        often, runs = rng.uniform(0.3, 0.6), rng.random(days) < 0.5
        for k in range(n):
            chance = often + (0.15 if runs[k // a_day] else -0.15) + (0.1 if size[k] > 1 else -0.1)
            having[k, h] = rng.random() < chance
    of_day = np.exp(rng.normal(0, day_cv, days))
    servings = []
    for k in range(n):
        which = int(rng.integers(len(kinds)))
        kind = kinds[which]
        does = float(np.prod([e for h, e in (effects or {}).items() if having[k, h]]))
        read = eat(rng, Kind(kind.area * size[k] * of_day[k // a_day] * does, 0.0, kind.peak_min), cv)
        curve = curve_of(read)
        at = MONDAY + timedelta(days=k // a_day, hours=5 * (k % a_day))
        servings.append(
            Serving(
                k,
                at,
                "meal",
                f"m{which}",
                f"m{which}",
                kind.carbs * size[k],
                MINUTES,
                read,
                curve,
                score_curve(curve),
            )
        )
    return Record(servings, [k // a_day for k in range(n)], having)
