"""Exact tests of paired differences over several looks, by flipping signs, and their intervals.

Under "the arms do the same" the lot alone decides the sign of each pair's difference, whatever trend,
skewness or autocorrelation the values have, so all 2^n flips are equally likely [fisher1935]. Over several
looks each flip is followed from the first: at each look as many of those still running are stopped, the
largest first, as the share to be spent by then allows. So at most the agreed share of all flips, and of all
trials whose arms do the same, is ever stopped: exactly, not as for a normal path. (O'Brien and Fleming's
nominal p [obrien1979], made for such a path, let .053 to .057 pass instead of .05 where p is that of flips:
10,000 runs each of gamma, lognormal and normal noise.)

The share spent by look n of N is alpha·(n/N)^late [kimdemets1987]; at late = 3 it is near to what O'Brien and
Fleming spend.
"""

from dataclasses import dataclass

import numpy as np

from analysis.results import Floats

CLOSE = 1e-9
"""Sums nearer than this share of the whole are ties, which floating point may break."""
BEYOND = 1.01
"""How far beyond the farthest pair ends of intervals are looked for."""
FINE = 2**-12
"""How exactly the ends of intervals are found, as a share of where they are looked for."""


@dataclass(frozen=True, slots=True)
class Spending:
    """What may be spent on false claims, two-sided: `alpha` by the last look, by (n/N)^late of it before.

    first, pairs: number of pairs at the first look, and at the last (N); there is a look after each between
    """

    alpha: float
    late: int
    first: int
    pairs: int

    def by(self, n: int) -> float:
        """Return the share that may be spent by the look after n pairs.

        >>> [round(Spending(0.05, 5, 6, 14).by(n), 4) for n in (6, 9, 12, 14)]
        [0.0007, 0.0055, 0.0231, 0.05]
        """
        return self.alpha * (n / self.pairs) ** self.late


def p_by_flips(d: Floats) -> float:
    """Return the two-sided p, exact, of "the mean is 0" at one look, d of shape (n,).

    >>> p_by_flips(np.array([-40.0, 22.0, -15.0, -80.0, 33.0, -51.0])) * 64
    20.0
    """
    sums = np.zeros(1)
    for step in d:
        sums = np.concatenate([sums + step, sums - step])
    return float(np.mean(np.abs(sums) >= abs(d.sum()) - CLOSE * np.abs(d).sum()))


def find_bounds(d: Floats, spending: Spending) -> dict[int, float]:
    """Return for each look up to now the bound on the absolute sum of differences.

    d: differences of the pairs so far, shape (n,); the bound is inf where none is in reach
    Only the half of the flips that leave the first sign is followed: the others mirror it.
    """
    sums, stopped = d[:1].copy(), np.zeros(d[:1].size, dtype=np.bool_)
    bounds = {}
    for n in range(2, d.size + 1):
        sums = np.concatenate([sums + d[n - 1], sums - d[n - 1]])
        stopped = np.concatenate([stopped, stopped])
        if n >= spending.first:
            tie = CLOSE * float(np.abs(d[:n]).sum())
            size = np.abs(sums)
            allowed = int(spending.by(n) * size.size + CLOSE) - int(np.count_nonzero(stopped))
            bounds[n] = _bound(size[~stopped], allowed, tie)
            stopped |= size >= bounds[n] - tie
    return bounds


def _bound(running: Floats, allowed: int, tie: float) -> float:
    """Return the least size from which on at most `allowed` of those running lie; ties go together."""
    if allowed < 1:
        return float("inf")
    ordered = np.sort(running)[::-1]
    if allowed >= ordered.size:
        return 0.0
    top = ordered[:allowed][ordered[:allowed] > ordered[allowed] + tie]
    return float(top[-1]) if top.size else float("inf")


def find_sides(d: Floats, spending: Spending) -> dict[int, int]:
    """Return for each look where the sum lies: 1 at or above its bound, -1 at or below, 0 within."""
    totals, ties = np.cumsum(d), CLOSE * np.cumsum(np.abs(d))
    return {
        n: int(np.sign(totals[n - 1])) if abs(totals[n - 1]) >= bound - ties[n - 1] else 0
        for n, bound in find_bounds(d, spending).items()
    }


def find_interval(below: Floats, above: Floats, spending: Spending) -> tuple[float, float] | None:
    """Return the factors k for which "above is k times below" is not refused at the last look.

    below, above: of each pair, shape (n,). With below all 1 these are the shifts of a mean. Over all looks
    together the interval holds the true factor with a chance of 1 - alpha at least [jennisonturnbull1989].
    None where so few flips cannot refuse anything, or where an end would lie beyond what any pair showed.
    """
    if not np.isfinite(find_bounds(above, spending)[above.size]) or below.sum() <= 0:
        return None
    middle = float(above.sum() / below.sum())
    least = float(below.mean()) / 10
    reach = float(np.abs((above - middle * below) / np.maximum(below, least)).max()) * BEYOND
    low = _end(below, above, middle, -reach, spending)
    high = _end(below, above, middle, reach, spending)
    return None if low is None or high is None else (low, high)


def _end(below: Floats, above: Floats, middle: float, reach: float, spending: Spending) -> float | None:
    """Return where, going from the estimate by `reach`, factors begin to be refused; None where nowhere."""

    def refused(share: float) -> bool:
        return find_sides(above - (middle + share * reach) * below, spending)[above.size] != 0

    if not refused(1.0):
        return None
    inside, outside = 0.0, 1.0
    while outside - inside > FINE:
        half = (inside + outside) / 2
        inside, outside = (inside, half) if refused(half) else (half, outside)
    return middle + outside * reach
