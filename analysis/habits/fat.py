"""What fat beside carbohydrate does: the same plates with the fat that leaner ones have.

No column of the model: it has fat already, in what each food holds and beside the carbohydrate of a plate.
The lever is what the model expects of the plates with much fat, over what it would expect of the same
carbohydrate with as little fat as the others have. The model supposes beforehand that fat lowers the first
two hours; here it may do anything, so that what is told comes from this person's meals.

Fat mainly delays: two hours can make a later, longer rise look like a benefit. So the same is asked of the
area over four hours, where curves go so far.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.foods.model import Fit, mean_area
from analysis.foods.rows import Row
from analysis.habits.days import STEP, fit_days
from analysis.results import Floats

FAT = "fat beside carbohydrate"
LEAST_RATIO, LEAST_CARBS_G = 0.4, 15.0
"""4 g of fat for 10 g of carbohydrate (common practice, no source), on plates that hold so much of it."""
OPEN_PRIORS = {"a": (0.0, 0.6), "fat": (0.0, 0.3)}
"""What fat does, not known beforehand: as wide as any other lever."""

LEAST_AREA = 1.0
"""A mean area below this (mmol/L·min) has no share to speak of."""


@dataclass(frozen=True, slots=True)
class Contrast:
    """The logarithm of what fat multiplies by (mean, SD); counted: rows; on: whether each has fat beside.

    amount: median ratio of those that have (g of fat for a g of carbohydrate)
    """

    counted: tuple[int, ...]
    on: tuple[bool, ...]
    amount: float
    mean: float
    sd: float


def judge_fat(fit: Fit, rows: Sequence[Row]) -> Contrast | None:
    """Return what fat beside carbohydrate does; None where there are not both kinds of meal."""
    design = fit.design
    carbs, fat, _ = design.held.sum(axis=2)
    counted = np.flatnonzero(carbs >= LEAST_CARBS_G)
    ratio = fat[counted] / carbs[counted]
    on = ratio >= LEAST_RATIO
    if on.all() or not on.any():
        return None
    inside = counted[on]
    as_eaten = design.held[:, inside]
    leaner = as_eaten.copy()
    leaner[1] *= (float(np.median(ratio[~on])) / ratio[on])[:, None]
    days = [row.day for row in rows]
    by_day = fit_days(fit, days, OPEN_PRIORS)
    by_day = fit_days(fit, days, OPEN_PRIORS, by_day.mean)  # the fitted model leant on what is known of fat

    def log_ratio(theta: Floats) -> Floats:
        """Return the logarithm of what the fat multiplies by, shape (m,), of parameters (m, q)."""
        means = [mean_area(theta, held, design.x(inside, held)).mean(axis=1) for held in (as_eaten, leaner)]
        found: Floats = np.log(np.maximum(means[0], LEAST_AREA) / np.maximum(means[1], LEAST_AREA))
        return found

    apart = STEP * np.eye(by_day.mean.size)
    usual = mean_area(by_day.mean[None, :], leaner, design.x(inside, leaner)).mean()
    if usual < LEAST_AREA:
        return None
    slope = (log_ratio(by_day.mean + apart) - log_ratio(by_day.mean - apart)) / (2 * STEP)
    return Contrast(
        counted=tuple(counted.tolist()),
        on=tuple(on.tolist()),
        amount=float(np.median(ratio[on])),
        mean=float(log_ratio(by_day.mean[None, :])[0]),
        sd=float((slope @ by_day.covariance @ slope) ** 0.5),
    )
