"""Exact inference for paired differences by flipping signs, and the intervals that belong to it.

Under "the arms do the same", the lot alone decides the sign of each pair's difference, whatever trend,
skewness or autocorrelation the values have. So all 2^n flips are equally likely [fisher1935]. A shift or a
ratio that the test does not refuse is inside the interval; its ends are ordered means, or ratios, of the
2^n - 1 subsets of pairs ("typical values" [hartigan1969]).
"""

from functools import lru_cache
from itertools import product

import numpy as np

from analysis.results import Floats

CLOSE = 1e-9
"""Sums nearer than this share of the whole are ties, which floating point may break."""


@lru_cache(maxsize=32)
def _subsets(n: int) -> Floats:
    """Return all subsets of n pairs but the empty one as 0 and 1, shape (2^n - 1, n)."""
    return np.array(list(product((0.0, 1.0), repeat=n))[1:])


def share_at_most_zero(d: Floats) -> float:
    """Return the one-sided p, exact, of "the mean is not above 0", d of shape (n,).

    The share of the 2^n flips whose sum is at least that seen: of the subsets, the empty one counted, that
    sum to at most 0.

    >>> share_at_most_zero(np.array([40.0, 62.0, 15.0, 80.0, 33.0, 51.0])) * 64
    1.0
    """
    sums = _subsets(d.size) @ d
    return float((1 + np.count_nonzero(sums <= CLOSE * np.abs(d).sum())) * 0.5**d.size)


def p_two_sided(d: Floats) -> float:
    """Return the two-sided p, exact, of "the mean is 0", d of shape (n,), as methods that flip signs do.

    >>> p_two_sided(np.array([-40.0, 22.0, -15.0, -80.0, 33.0, -51.0])) * 64
    20.0
    """
    return min(1.0, 2 * min(share_at_most_zero(d), share_at_most_zero(-d)))


def interval_of_mean(d: Floats, p: float) -> tuple[float, float] | None:
    """Return the shifts that are not refused at the two-sided p; None where n flips cannot reach it."""
    return _ends(_subsets(d.size) @ d / _subsets(d.size).sum(1), p, d.size)


def interval_of_ratio(below: Floats, above: Floats, p: float) -> tuple[float, float] | None:
    """Return the ratios above/below of the arms' means that are not refused at the two-sided p.

    None where n flips cannot reach it, or where a sum of `below` is not positive.
    """
    under = _subsets(below.size) @ below
    if under.min() <= 0:
        return None
    return _ends(_subsets(above.size) @ above / under, p, below.size)


def _ends(values: Floats, p: float, n: int) -> tuple[float, float] | None:
    k = int(p / 2 * 2**n + CLOSE)
    if k < 1:
        return None
    ordered = np.sort(values)
    return float(ordered[k - 1]), float(ordered[-k])
