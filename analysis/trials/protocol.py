"""What is agreed before a one-person trial begins and not changed after: arms, order, looks, bounds, margin.

A pair is one serving of each arm, in an order drawn by lot for each pair [ahrq2014]. From the sixth pair on
it is looked at after each pair, at most up to the agreed number. What may be spent on false claims by each
look is agreed, too, little at first, as O'Brien and Fleming [obrien1979] do; `analysis.trials.flips` says
how it becomes a bound.
"""

from dataclasses import dataclass, field
from hashlib import sha256

import numpy as np

from analysis.trials.flips import Spending

FEWEST, MOST = 6, 14
"""Pairs: with fewer no exact test reaches 5 % (2/2^5 = .0625); with more hardly anybody keeps it up."""
MARGIN = 0.15
"""A difference of less than this share of the smaller arm is not worth having."""
WITHIN = 0.2
"""How far grams may lie from what was agreed, as a share (common practice, no source)."""
WASHOUT_MIN = 180.0
"""No carbohydrate and no exercise so long before the first bite (common practice, no source)."""
CLEAR, RANGE = (0.05, 5), (0.1, 3)
"""What may be spent on false claims (`analysis.trials.flips.Spending`: alpha, late): of "clear"; and of the
range shown and what follows from it, "leaning" and, one side each, "no difference worth having". The range
is spent earlier, so that there is one from the eighth of 14 pairs on; "clear" later: in 14 pairs at CV 40 %
a difference of 30 % is found in .56, .57, .58, .59 at late = 3, 4, 5, 6, after 12.4, 12.6, 12.7, 12.9."""


@dataclass(frozen=True, slots=True)
class Portion:
    """A food of an arm and the grams agreed."""

    food: str
    grams: float


@dataclass(frozen=True, slots=True)
class Arm:
    """One arm: what is eaten, and the levers that go with it ("walk after", "vinegar" ...).

    foods: each must be there with its grams; levers: names as in `analysis.habits`, each must be there
    """

    name: str
    foods: tuple[Portion, ...]
    levers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Protocol:
    """All that is fixed at the start; two equal protocols and the same servings give the same verdict.

    arms: the usual way first, by which percentages go; slot: breakfast, lunch ...; baseline: the condition
    before each serving, in words; pairs: at most, `FEWEST` to `MOST`; seed: of the lot
    noise_cv: within-person variation of like servings that the power was planned with (.25 = 25 %)
    """

    question: str
    arms: tuple[Arm, Arm]
    slot: str
    baseline: str
    pairs: int
    seed: int
    noise_cv: float
    margin: float = MARGIN
    within: float = WITHIN
    washout_min: float = WASHOUT_MIN
    order: tuple[int, ...] = field(init=False)
    """Which arm (0 or 1) comes first in each pair."""

    def __post_init__(self) -> None:
        """Draw the order; ValueError for a number of pairs that cannot be."""
        if not FEWEST <= self.pairs <= MOST:
            raise ValueError(f"pairs must be {FEWEST} to {MOST}, not {self.pairs}")
        object.__setattr__(self, "order", draw_order(self.seed, self.pairs))

    @property
    def looks(self) -> tuple[int, ...]:
        """After how many pairs it is looked at."""
        return tuple(range(FEWEST, self.pairs + 1))

    @property
    def clear(self) -> Spending:
        """What may be spent on a false "clear"."""
        return Spending(*CLEAR, FEWEST, self.pairs)

    @property
    def range(self) -> Spending:
        """What may be spent on a range that misses the truth."""
        return Spending(*RANGE, FEWEST, self.pairs)


def draw_order(seed: int, pairs: int) -> tuple[int, ...]:
    """Return for each pair which arm (0 or 1) comes first, each by its own fair lot.

    The lot is a bit of SHA-256 and not of a library's generator, so that a stored seed gives the same order
    whatever is installed. Not balanced over pairs: the exact test supposes independent lots.

    >>> draw_order(7, 6) == draw_order(7, 14)[:6]
    True
    """
    return tuple(sha256(f"{seed} {pair}".encode()).digest()[0] & 1 for pair in range(pairs))


ENOUGH = 0.8
"""A power from which on a trial is worth its pairs, by custom."""
POWER_CVS = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5)
POWER = {
    6: (
        (0.96, 0.76, 0.53, 0.37, 0.28, 0.17, 0.12),
        (0.45, 0.23, 0.14, 0.10, 0.08, 0.06, 0.05),
        (0.36, 0.08, 0.02, 0.01, 0.01, 0.00, 0.00),
    ),
    7: (
        (1.0, 0.94, 0.76, 0.59, 0.46, 0.30, 0.22),
        (0.68, 0.39, 0.25, 0.18, 0.14, 0.10, 0.08),
        (0.41, 0.09, 0.02, 0.00, 0.00, 0.00, 0.00),
    ),
    8: (
        (1.0, 0.96, 0.84, 0.67, 0.52, 0.34, 0.24),
        (0.76, 0.45, 0.28, 0.20, 0.15, 0.10, 0.08),
        (0.53, 0.12, 0.02, 0.01, 0.00, 0.00, 0.00),
    ),
    9: (
        (1.0, 0.99, 0.88, 0.73, 0.57, 0.37, 0.26),
        (0.82, 0.48, 0.30, 0.20, 0.15, 0.10, 0.08),
        (0.64, 0.17, 0.04, 0.01, 0.00, 0.00, 0.00),
    ),
    10: (
        (1.0, 0.99, 0.94, 0.79, 0.64, 0.43, 0.31),
        (0.87, 0.56, 0.36, 0.25, 0.20, 0.13, 0.10),
        (0.70, 0.20, 0.04, 0.01, 0.00, 0.00, 0.00),
    ),
    11: (
        (1.0, 1.0, 0.95, 0.83, 0.70, 0.46, 0.32),
        (0.91, 0.60, 0.38, 0.26, 0.20, 0.14, 0.10),
        (0.77, 0.25, 0.05, 0.01, 0.00, 0.00, 0.00),
    ),
    12: (
        (1.0, 1.0, 0.96, 0.88, 0.74, 0.51, 0.37),
        (0.93, 0.65, 0.44, 0.31, 0.23, 0.14, 0.11),
        (0.82, 0.30, 0.07, 0.01, 0.00, 0.00, 0.00),
    ),
    13: (
        (1.0, 1.0, 0.98, 0.90, 0.77, 0.53, 0.37),
        (0.95, 0.68, 0.45, 0.30, 0.22, 0.14, 0.11),
        (0.87, 0.36, 0.08, 0.02, 0.00, 0.00, 0.00),
    ),
    14: (
        (1.0, 1.0, 0.99, 0.92, 0.81, 0.57, 0.42),
        (0.97, 0.73, 0.49, 0.35, 0.26, 0.17, 0.13),
        (0.89, 0.41, 0.09, 0.02, 0.01, 0.00, 0.00),
    ),
}
"""By the agreed pairs, for each of `POWER_CVS`: the chances of "clear" where the second arm is lower by 30 %,
and by 15 %, and of "no difference worth having" where it is not (2,000 runs each of lognormal noise:
python -m tests.bench.conclusions_trials --power)."""


@dataclass(frozen=True, slots=True)
class Plan:
    """How many pairs are proposed at a person's own noise, and what chance each verdict then has.

    power_30, power_15: chance of "clear" where the arms differ by 30 and by 15 %
    power_same: chance of "no difference worth having" where they do not differ
    """

    pairs: int
    power_30: float
    power_15: float
    power_same: float


def plan_pairs(noise_cv: float, pairs: int | None = None) -> Plan:
    """Return the number of pairs to propose, or the chances of the number given.

    noise_cv: within-person variation of like servings (.25 = 25 %)
    The fewest pairs with a power of `ENOUGH` for 30 % are proposed, `MOST` where none have it.
    """
    if pairs is not None:
        of_30, of_15, of_same = (float(np.interp(noise_cv, POWER_CVS, row)) for row in POWER[pairs])
        return Plan(pairs, of_30, of_15, of_same)
    plans = [plan_pairs(noise_cv, n) for n in range(FEWEST, MOST + 1)]
    return next((plan for plan in plans if plan.power_30 >= ENOUGH), plans[-1])
