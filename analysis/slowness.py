"""Slow is not flat: where much of a response comes after the two hours that are scored.

Fat delays a rise: the same total response, twice as slow, scores 24 points more, though there is no less of
it. So where readings reach far enough (`area_4h`, else `area_3h`), the share of the incremental area that
comes after two hours is looked at. From `SLOW_SHARE` on, and at least `LATE_AREA` of it (a level that wanders
makes such an area by itself), a response is said to be slow.

On responses whose total is kept while they are stretched in time (tests/bench/conclusions_slow.py; totals
of 100 to 300 mmol·min/L, a sensor of SD 0.15, a level that wanders by 0.2; every 5 or 15 min, for 4 or 3 h):

    slowed by                          1.0   1.25   1.5    2     3
    said to be slow                    .03   .09    .28   .71   .86
    score above that of the quick one   0     7     14    24    36   points

The usual share is 8 % (95 % of quick responses below 24 %). Of totals of 50 to 100 at most .42 of the slow
are said to be, and .04 to .09 of the quick: there the score is flattered by 12 points at most.
"""

from collections.abc import Sequence

from analysis.flags import SLOW
from analysis.results import Curve, Serving

SLOW_SHARE = {"area_4h": 0.28, "area_3h": 0.22}
LATE_AREA = {"area_4h": 45.0, "area_3h": 28.0}
"""The least area after two hours that counts (mmol/L·min)."""
WRITTEN = ((0.29, "a quarter"), (0.42, "a third"), (0.58, "half"), (1.0, "more than half"))
"""Shares up to each in words."""


def find_late_share(curve: Curve) -> float | None:
    """Return the share (0 to 1) of a response that comes after two hours; None where it is not slow.

    It is that of four hours where they are known, else that of three, which then is at least so much.

    >>> from dataclasses import replace
    >>> curve = Curve(5.0, 3, 6.0, 1.0, 45.0, 90.0, 5.5, 0.0, 0.0, None, 1.0, area_4h=150.0)
    >>> find_late_share(curve), find_late_share(replace(curve, area_2h=140.0))
    (0.4, None)
    """
    name, whole = ("area_4h", curve.area_4h) if curve.area_4h is not None else ("area_3h", curve.area_3h)
    if not whole:
        return None
    late = whole - curve.area_2h
    share = late / whole
    return share if share >= SLOW_SHARE[name] and late >= LATE_AREA[name] else None


def say_share(share: float) -> str:
    """Put a share into words.

    >>> say_share(0.33), say_share(0.5)
    ('a third', 'half')
    """
    return next(words for most, words in WRITTEN if share <= most)


def flag_slow(curve: Curve) -> tuple[str, ...]:
    """Return the flag of a slow response; none where it is not slow, or not known for long enough."""
    share = find_late_share(curve)
    return () if share is None else (f"{SLOW}: {say_share(share)} of its response came after two hours",)


def find_slow(curve: Curve) -> tuple[str, ...]:
    """Return the flag of a slow response that a curve was given, if it was."""
    return tuple(flag for flag in curve.flags if flag.startswith(SLOW))


def find_usual_share(servings: Sequence[Serving]) -> float | None:
    """Return the late share of a meal: the mean of its slow servings where these are half of them or more."""
    curves = [s.curve for s in servings if s.curve is not None and s.curve.area_3h is not None]
    shares = [find_late_share(curve) or 0.0 for curve in curves if find_slow(curve)]
    return sum(shares) / len(shares) if shares and 2 * len(shares) >= len(curves) else None
