"""What each meal's signed two-hour area was expected to be, by what earlier occasions alone had shown.

A linear model with normal priors, whose noise is not known either:

    area = a + b·load + c·(level - 5.3) + slot + levers + what the foods and the whole meal do beside + noise
    load = g / (1 + max(g, 0) / 120),  g = carbohydrate - protein / 2 (g)

Prior mean and SD of each: `PRIORS`. A food departs from its nutrients for each gram of its carbohydrate and
by its mere presence; a whole meal, the same foods again, departs from what its foods say. All SDs and the
noise have one scale in common, begun as `NOISE_SD` counting as much as `NOISE_N` occasions; so predictions
are Student's t. With few occasions they are nearly the prior.

Priors are normal, so all expectations of a record come from one Cholesky factor L of the covariance of its
areas: with z = L⁻¹(y - m), that of y_i from y_1 ... y_{i-1} has mean y_i - L_ii·z_i and SD L_ii. Nothing
later enters. An area that is not known counts as one measured with an SD of `UNREAD_SD`.

The level before the bite serves to predict only (a high one falls, and a baseline read too high makes the
area too small): no food and no habit is judged by this model; for that there is `analysis.foods.model`.

On real people (python -m tests.bench.expected_on_real_people), own means taken out: correlation with what
came, that of 1.5·carbs - 60·level, and how often intervals hold: .63, .51, .89 (5 people, the nutrients of
their logs), .68, .43, .89 (the bot's own), .59, .46, .92 (12 people, names of foods only).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.evenness import T_95
from analysis.foods.rows import Row
from analysis.results import Floats

LEVEL = 0.9
PRIORS = {
    "usual": (0.0, 40.0),
    "load": (1.3, 0.6),
    "level": (-55.0, 25.0),
    "slot": (0.0, 25.0),
    "lever": (0.0, 20.0),
    "food, a gram": (0.0, 0.7),
    "food": (0.0, 15.0),
    "meal": (0.0, 30.0),
}
"""Mean and SD, in mmol/L·min (for a gram, a mmol/L, a lever as usual). Round numbers, chosen on these 17
people: any of them times .6 or 1.6 changes the correlations by at most .03. Chosen anew without the one who
is judged, the logs' .63, .68 and .62 (own nutrients, the bot's, bare words) are .62, .63 and .61, and
intervals hold .87 to .91."""
NOISE_SD, NOISE_N = 55.0, 6
USUAL_LEVEL = 5.3
BENDS_G, PROTEIN = 120.0, 0.5
UNREAD_SD = 3e4
KEPT, STEP = 400, 200
"""Occasions that are learnt from at least, and at once: a year takes no longer than its parts."""


@dataclass(frozen=True, slots=True)
class Expected:
    """A signed two-hour area (mmol/L·min) with its interval at `LEVEL`, and from how many occasions."""

    area: float
    low: float
    high: float
    occasions: int


def expect_areas(rows: Sequence[Row]) -> list[Expected]:
    """Return for each row, in the order of time, what was to be expected from those before it.

    A row whose area is NaN is expected and teaches nothing; one without a level has the mean one so far.
    """
    found: list[Expected] = []
    for start in range(0, len(rows), STEP):
        first = max(0, start - KEPT)
        found += _expect(rows[first : start + STEP])[start - first :]
    return found


def _expect(rows: Sequence[Row]) -> list[Expected]:
    area = np.array([row.area for row in rows])
    read = ~np.isnan(area)
    mean, spread = _lay_out(rows)
    noise = NOISE_SD**2 + np.where(read, [row.area_sd**2 for row in rows], UNREAD_SD**2)
    off = np.where(read, area - mean, 0.0)
    root = np.linalg.cholesky(spread @ spread.T + np.diag(noise))
    z = np.linalg.solve(root, off)
    middle = mean + off - root.diagonal() * z
    variance = root.diagonal() ** 2 - np.where(read, 0.0, UNREAD_SD**2)
    earlier = np.cumsum(read) - read
    squares = np.cumsum(np.where(read, z**2, 0.0)) - np.where(read, z**2, 0.0)
    known = NOISE_N + earlier
    points = np.array(T_95)[np.minimum(known, len(T_95)) - 1]
    reach = points * np.sqrt(variance * (NOISE_N + squares) / known)
    return [
        Expected(float(m), float(m - r), float(m + r), int(n))
        for m, r, n in zip(middle, reach, earlier, strict=True)
    ]


def _lay_out(rows: Sequence[Row]) -> tuple[Floats, Floats]:
    """Return the prior mean of each area, shape (n,), and what it varies by beforehand, shape (n, p)."""
    carbs = np.array([sum(e.carbs_g for e in row.eaten) for row in rows])
    protein = np.array([sum(e.protein_g for e in row.eaten) for row in rows])
    grams = carbs - PROTEIN * protein
    bend = 1 / (1 + np.maximum(grams, 0.0) / BENDS_G)
    columns: dict[tuple[str, object], Floats] = {
        ("usual", ""): np.ones(len(rows)),
        ("load", ""): grams * bend,
        ("level", ""): _levels(rows) - USUAL_LEVEL,
    }

    def add(kind: str, name: object, i: int, amount: float) -> None:
        columns.setdefault((kind, name), np.zeros(len(rows)))[i] += amount

    for i, row in enumerate(rows):
        add("slot", row.slot, i, 1.0)
        add("meal", frozenset(e.food for e in row.eaten), i, 1.0)
        for lever, amount in row.levers.items():
            add("lever", lever, i, amount)
        for e in row.eaten:
            add("food, a gram", e.food, i, e.carbs_g * bend[i])
        for food in {e.food for e in row.eaten}:
            add("food", food, i, 1.0)
    x = np.column_stack(list(columns.values()))
    priors = np.array([PRIORS[kind] for kind, _ in columns])
    return x @ priors[:, 0], x * priors[:, 1]


def _levels(rows: Sequence[Row]) -> Floats:
    """Return the level before each row; where it is not known, the mean of those before it."""
    found: list[float] = []
    for row in rows:
        usual = float(np.mean(found)) if found else USUAL_LEVEL
        found.append(usual if row.level_mmol is None else row.level_mmol)
    return np.array(found)
