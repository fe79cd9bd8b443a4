"""What a day's food holds, beside published reference intakes; only days that look whole.

A day with one meal noted is no day's intake. So a day counts when it has `NEED_NOTES` times of eating over
`NEED_SPAN_H`, or two with `TWO_MEALS_KCAL` together, and nothing on it whose contents are unknown (common
practice, no source). Diaries as a rule still miss something. Averages are over whole days, each with
its Student interval at 0.9; a line is called missed or met only from `NEED_WHOLE` whole days on and where the
interval leaves it out.

The lines [efsa2010, efsa2012, sacn2015, who2023, eu1169] are for groups of healthy adults: what most need, or
what populations should average. None says what one person must eat, and energy has no line to stay under.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, get_args

import numpy as np

from analysis.evenness import LEVEL, T_95

Nutrient = Literal["energy", "carbohydrate", "fibre", "protein", "saturated fat", "fat", "sugars"]
NUTRIENTS: tuple[Nutrient, ...] = get_args(Nutrient)
NEED_NOTES, NEED_SPAN_H, TWO_MEALS_KCAL = 3, 6.0, 1200.0
NEED_WHOLE = 5
NEED_KNOWN = 0.9
"""Share of a day's energy whose foods must state a nutrient for the day to count for it."""
LITTLE_KCAL = 1200.0
"""A mean below it is rather a record with holes; where it is not, it is for a clinician (common practice)."""
PROTEIN_G_PER_KG = 0.83
KCAL_PER_G: Mapping[str, float] = {"carbohydrate": 4.0, "protein": 4.0, "saturated fat": 9.0, "fat": 9.0}
"""As labels reckon [eu1169]."""


@dataclass(frozen=True, slots=True)
class Line:
    """A published line: at least or at most so much, in g or in % of energy; whose; its key in references."""

    nutrient: Nutrient
    least: float | None
    most: float | None
    unit: Literal["g", "% of energy"]
    whose: str
    key: str


LINES: tuple[Line, ...] = (
    Line("fibre", 25.0, None, "g", "EFSA 2010, WHO 2023", "efsa2010"),
    Line("fibre", 30.0, None, "g", "SACN 2015", "sacn2015"),
    Line("carbohydrate", 45.0, 60.0, "% of energy", "EFSA 2010", "efsa2010"),
    Line("fat", 20.0, 35.0, "% of energy", "EFSA 2010", "efsa2010"),
    Line("saturated fat", None, 10.0, "% of energy", "WHO 2023", "who2023"),
)
"""Protein goes by body weight (`PROTEIN_G_PER_KG`); energy and all sugars together have none."""


@dataclass(frozen=True, slots=True)
class Intake:
    """What was noted of one day.

    notes: times of eating; span_h: from the first to the last; unknown: foods whose contents nobody knows
    amounts: kcal and g; known: share of the energy whose foods state that nutrient
    """

    day: date
    notes: int
    span_h: float
    unknown: int
    amounts: Mapping[Nutrient, float]
    known: Mapping[Nutrient, float]

    @property
    def whole(self) -> bool:
        """Whether the notes may be all that was eaten."""
        often = self.notes >= NEED_NOTES and self.span_h >= NEED_SPAN_H
        much = self.notes == 2 and self.amounts["energy"] >= TWO_MEALS_KCAL
        return not self.unknown and (often or much)


@dataclass(frozen=True, slots=True)
class Usual:
    """The mean of a day over `days` whole days with its interval at `LEVEL` (None from one day).

    amount: kcal or g; share: % of energy, None where that is not said
    """

    nutrient: Nutrient
    days: int
    amount: float
    low: float | None
    high: float | None
    share: float | None = None
    share_low: float | None = None
    share_high: float | None = None
    level: float = LEVEL

    def beside(self, line: Line) -> Literal["below", "above", "met", "near", ""]:
        """Return how it stands to a line: "near" where the interval holds an end, "" with too little."""
        of_energy = line.unit != "g"
        low, high = (self.share_low, self.share_high) if of_energy else (self.low, self.high)
        if self.days < NEED_WHOLE or low is None or high is None:
            return ""
        if line.least is not None and high < line.least:
            return "below"
        if line.most is not None and low > line.most:
            return "above"
        inside = (line.least is None or low >= line.least) and (line.most is None or high <= line.most)
        return "met" if inside else "near"


@dataclass(frozen=True, slots=True)
class Intakes:
    """Days with notes, those that look whole, and what is usual on these by nutrient."""

    noted: int
    whole: int
    usual: dict[Nutrient, Usual] = field(default_factory=dict)


def describe_intakes(days: Sequence[Intake]) -> Intakes:
    """Return what is usual over the whole ones of some days; nutrients of no such day are left out."""
    whole = [day for day in days if day.whole]
    found = (_describe(nutrient, whole) for nutrient in NUTRIENTS)
    return Intakes(len(days), len(whole), {one.nutrient: one for one in found if one is not None})


def _describe(nutrient: Nutrient, whole: Sequence[Intake]) -> Usual | None:
    days = [day for day in whole if day.known[nutrient] >= NEED_KNOWN]
    if not days:
        return None
    amounts = [day.amounts[nutrient] for day in days]
    mean, low, high = _interval(amounts)
    if nutrient not in KCAL_PER_G:
        return Usual(nutrient, len(days), mean, low, high)
    energy = [day.amounts["energy"] for day in days]
    shares = [
        100 * KCAL_PER_G[nutrient] * g / max(kcal, 1.0) for g, kcal in zip(amounts, energy, strict=True)
    ]
    return Usual(nutrient, len(days), mean, low, high, *_interval(shares))


def _interval(values: Sequence[float]) -> tuple[float, float | None, float | None]:
    """Return mean and Student interval at `LEVEL`.

    >>> [round(end, 2) for end in _interval([20.0, 24.0, 28.0])]
    [24.0, 17.26, 30.74]
    """
    mean = float(np.mean(values))
    if len(values) < 2:
        return mean, None, None
    half = T_95[min(len(values) - 1, len(T_95)) - 1] * float(np.std(values, ddof=1)) / len(values) ** 0.5
    return mean, mean - half, mean + half
