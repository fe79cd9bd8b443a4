"""Two groups of servings, or of days, against each other: the difference of their means and its interval.

The interval is Welch's [welch1947]: the groups may vary unlike each other and be of unlike size. With
n1, n2 values of SD s1, s2 and v = s²/n,

    (mean2 - mean1) ± t·sqrt(v1 + v2),   df = (v1 + v2)² / (v1²/(n1 - 1) + v2²/(n2 - 1))

at level 0.9. The degrees of freedom are rounded down, which widens it a little. Each group needs two values.
The values count as independent, which servings of one week only are roughly, and nobody drew lots who got
which: other things may differ as well. So fewer than `VERDICT_EACH` values each license no verdict: with
fewer than 6 pairs no exact test can reach 5 %, since 2/2^5 = 0.0625.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from analysis.errors import InsufficientData
from analysis.evenness import LEVEL, T_95

NEED_EACH = 2
VERDICT_EACH = 6


@dataclass(frozen=True, slots=True)
class Contrast:
    """The means of two groups and the second minus the first, with its interval at `level`.

    n, mean: of the first and the second; low, high: both equal to the difference where nothing varies
    """

    n: tuple[int, int]
    mean: tuple[float, float]
    difference: float
    low: float
    high: float
    level: float = LEVEL

    @property
    def enough(self) -> bool:
        """Whether both groups have what a verdict takes."""
        return min(self.n) >= VERDICT_EACH

    @property
    def clear(self) -> bool:
        """Whether the interval leaves out zero."""
        return self.low > 0 or self.high < 0


def contrast(first: Sequence[float], second: Sequence[float], least_sd: float = 0.0) -> Contrast:
    """Return the difference of two groups.

    first, second: values in one unit, which is that of the result
    least_sd: no SD is taken to be smaller: what the sensor alone does, since two alike servings are luck

    Raises InsufficientData when a group has fewer than two values.

    Means 60 and 70, variances of the means 100/3 + 100/3 with 4 degrees of freedom, t = 2.132:

    >>> found = contrast([50.0, 60.0, 70.0], [60.0, 70.0, 80.0])
    >>> found.difference, round(found.low, 1), round(found.high, 1)
    (10.0, -7.4, 27.4)
    """
    n = len(first), len(second)
    if min(n) < NEED_EACH:
        raise InsufficientData("comparing", min(n), NEED_EACH, "servings each")
    groups = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    mean = float(groups[0].mean()), float(groups[1].mean())
    v1, v2 = (max(float(g.var(ddof=1)), least_sd**2) / g.size for g in groups)
    difference = mean[1] - mean[0]
    half = 0.0
    if v1 + v2 > 0:
        df = (v1 + v2) ** 2 / (v1**2 / (n[0] - 1) + v2**2 / (n[1] - 1))
        # a hair is added, so that 4 degrees computed as 3.9999 stay 4
        half = T_95[max(1, min(int(df + 1e-9), len(T_95))) - 1] * sqrt(v1 + v2)
    return Contrast(n, mean, difference, difference - half, difference + half)
