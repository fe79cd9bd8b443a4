"""What is agreed before a one-person trial begins and not changed after: arms, order, looks, bounds, margin.

A pair is one serving of each arm, in an order drawn by lot for each pair [ahrq2014]. From the sixth pair on
it is looked at after each pair, at most up to the agreed number. The bounds are of the O'Brien-Fleming type
[obrien1979]: at n of N pairs a two-sided p of at most 2·(1 - Phi(c·sqrt(N/n))), with c such that a Brownian
path crosses at any of the looks with the stated chance (`CLEAR`: .05; `LEANING`: .10).
"""

from dataclasses import dataclass, field
from hashlib import sha256
from math import erfc, sqrt

FEWEST, MOST = 6, 14
"""Pairs: with fewer no exact test reaches 5 % (2/2^5 = .0625); with more hardly anybody keeps it up."""
MARGIN = 0.15
"""A difference of less than this share of the smaller arm is not worth having."""
WITHIN = 0.2
"""How far grams may lie from what was agreed, as a share (common practice, no source)."""
WASHOUT_MIN = 180.0
"""No carbohydrate and no exercise so long before the first bite (common practice, no source)."""
CLEAR = {
    6: 1.9600, 7: 2.0258, 8: 2.0546, 9: 2.0709, 10: 2.0818, 11: 2.0898, 12: 2.0962, 13: 2.1015, 14: 2.1061
}  # fmt: skip
LEANING = {
    6: 1.6449, 7: 1.7217, 8: 1.7571, 9: 1.7779, 10: 1.7917, 11: 1.8017, 12: 1.8094, 13: 1.8157, 14: 1.8210
}  # fmt: skip
"""The constant c by the agreed number of pairs, by recursive integration (repeated in the tests)."""


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
    def bounds(self) -> tuple[float, ...]:
        """The two-sided p at each look at or below which a difference is clear."""
        return tuple(bound_at(CLEAR, n, self.pairs) for n in self.looks)


def bound_at(constants: dict[int, float], n: int, pairs: int) -> float:
    """Return the two-sided p of the bound after n of `pairs` pairs.

    >>> [round(bound_at(CLEAR, n, 14), 3) for n in (6, 10, 14)]
    [0.001, 0.013, 0.035]
    """
    return erfc(constants[pairs] * sqrt(pairs / n) / sqrt(2))


def draw_order(seed: int, pairs: int) -> tuple[int, ...]:
    """Return for each pair which arm (0 or 1) comes first, each by its own fair lot.

    The lot is a bit of SHA-256 and not of a library's generator, so that a stored seed gives the same order
    whatever is installed. Not balanced over pairs: the exact test supposes independent lots.

    >>> draw_order(7, 6) == draw_order(7, 14)[:6]
    True
    """
    return tuple(sha256(f"{seed} {pair}".encode()).digest()[0] & 1 for pair in range(pairs))


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


ENOUGH = 0.8


def plan_pairs(noise_cv: float, pairs: int | None = None) -> Plan:
    """Return the number of pairs to propose, or the chances of the number given.

    noise_cv: within-person variation of like servings (.25 = 25 %)
    The fewest pairs with a power of `ENOUGH` for 30 % are proposed, `MOST` where none have it.
    """
    if pairs is None:
        enough = (n for n in range(FEWEST, MOST) if _power(0.3, noise_cv, n) >= ENOUGH)
        pairs = next(enough, MOST)
    # half the width of what is not worth having, as a share of the mean of both arms
    half = MARGIN / (2 + MARGIN) * 2
    same = 2 * _phi(half * sqrt(pairs / 2) / noise_cv - LEANING[pairs]) - 1
    return Plan(pairs, _power(0.3, noise_cv, pairs), _power(0.15, noise_cv, pairs), max(0.0, same))


def _power(effect: float, noise_cv: float, pairs: int) -> float:
    """Return the chance of "clear" by the last look, where the second arm is lower by a share `effect`."""
    sd = noise_cv * sqrt(1 + (1 - effect) ** 2)
    return _phi(effect * sqrt(pairs) / sd - CLEAR[pairs])


def _phi(z: float) -> float:
    return erfc(-z / sqrt(2)) / 2
