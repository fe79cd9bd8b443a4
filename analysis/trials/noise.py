"""How much like servings of one person vary, which is what decides how many pairs a trial needs."""

from collections.abc import Sequence

import numpy as np

PUBLISHED_CV, PUBLISHED_DF = 0.30, 6
"""Of the same food in the same person: 25 % in laboratories (from memory), 43 % for bread in 14 people
(Vega-Lopez 2007, Diabetes Care 30:1412); it counts as much as 7 repeats (judgement)."""
LEAST_AREA = 30.0
"""Around a mean of less (mmol/L·min) a share of it says nothing."""
LEAST_CV, MOST_CV = 0.10, 0.80


def own_cv(groups: Sequence[Sequence[float]]) -> tuple[float, int]:
    """Return the within-meal variation as a share of the mean, and how many repeats it rests on.

    groups: the signed two-hour areas of each meal that was eaten again (mmol/L·min)

    >>> own_cv([])[1]
    0
    >>> round(own_cv([[100.0, 140.0, 80.0, 120.0, 60.0]] * 10)[0], 3)
    0.314
    """
    squares, df = PUBLISHED_DF * PUBLISHED_CV**2, 0
    for group in groups:
        values = np.asarray(group, dtype=np.float64)
        if values.size < 2 or values.mean() < LEAST_AREA:
            continue
        squares += (values.size - 1) * float(values.var(ddof=1)) / float(values.mean()) ** 2
        df += values.size - 1
    return float(np.clip((squares / (PUBLISHED_DF + df)) ** 0.5, LEAST_CV, MOST_CV)), df
