"""How much like servings of one person vary, which is what decides how many pairs a trial needs."""

import numpy as np

from analysis.foods.model import Fit, mean_area

PUBLISHED_CV, PUBLISHED_DF = 0.30, 6
"""Of the same food in the same person: 25 % in laboratories (from memory), 43 % for bread in 14 people
(Vega-Lopez 2007, Diabetes Care 30:1412); it counts as much as 7 repeats (judgement)."""
LEAST_AREA = 30.0
"""Around a mean of less (mmol/L·min) a share of it says nothing."""
LEAST_CV, MOST_CV = 0.10, 0.80


def own_cv(fit: Fit | None) -> tuple[float, int]:
    """Return how much like meals vary as a share of their mean, and how many free occasions it rests on.

    Like meals: what foods, portions, habits, sensors and the hour make of an occasion is taken off by the
    food model, since a trial holds just these the same. Residuals are made larger for what the model used
    up: a parameter for each food, half a one for each other factor (shrunk more). In the simulated records
    of tests/simulated (CV 25 %, with the sensor 28 %) six people came to .25 to .33.
    """
    squares, free = PUBLISHED_DF * PUBLISHED_CV**2, 0
    if fit is not None:
        design = fit.design
        means = mean_area(fit.draws, design.held, design.x(slice(None), design.held))
        mean = np.median(means, axis=0)
        on = mean > LEAST_AREA
        used = len(design.foods) + len(design.factors) // 2
        free = max(int(on.sum()) - used, 0)
        if free:
            off = float(((design.area - mean)[on] ** 2).sum()) / float((mean[on] ** 2).sum())
            squares += off * int(on.sum())
    return float(np.clip((squares / (PUBLISHED_DF + free)) ** 0.5, LEAST_CV, MOST_CV)), free
