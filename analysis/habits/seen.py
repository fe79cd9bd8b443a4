"""What each meal did with a lever or without it, against what the model expects of that plate without it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.foods.model import Fit, mean_area
from analysis.foods.rows import Row
from analysis.results import Floats

LEAST_AREA = 20.0
"""Of a plate expected to do less (mmol/L·min) no share is given: noise would be most of it."""


@dataclass(frozen=True, slots=True)
class Seen:
    """Signed areas in percent of what was to be expected without the lever: of meals with it, and without."""

    on: Floats
    off: Floats


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of a lever: its name at the head of a sentence, and what it comes to.

    finding: the headline; change, low, high: in percent, at like meals; told: whether it is beyond chance
    """

    name: str
    finding: str
    change: float
    low: float
    high: float
    told: bool


def see_lever(fit: Fit, rows: Sequence[Row], name: str) -> Seen | None:
    """Return what was seen with a lever and without; None of one that is no column, or has not both."""
    design = fit.design
    if name not in design.factors:
        return None
    x = design.x(slice(None), design.held)
    x[:, design.factors.index(name)] = 0.0
    expected = mean_area(fit.draws.mean(axis=0)[None, :], design.held, x)[0]
    on = np.array([row.levers.get(name, 0.0) > 0 for row in rows])
    known = expected >= LEAST_AREA
    share = 100 * design.area / np.maximum(expected, LEAST_AREA)
    if not (on & known).any() or not (~on & known).any():
        return None
    return Seen(share[on & known], share[~on & known])
