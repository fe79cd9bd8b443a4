"""Areas under the curve after a meal, in mmol/L·min, named as in Wolever 2004 [wolever2004].

Every function takes `minutes` and `mmol`, both shape (n,), minutes strictly increasing and n >= 2, joins
the samples by straight lines and covers first to last sample. `baseline` is in mmol/L.

FAO's first reference series [fao66] by hand, per segment: 15 = 15·(0 + 2)/2, then 42, 34.5, 6.25 (a
triangle, the line crosses the baseline), 2.7 (another triangle), 13.5.

>>> import numpy as np
>>> minutes = np.array([0.0, 15, 30, 45, 60, 90, 120])
>>> mmol = np.array([4.3, 6.3, 7.9, 5.3, 4.1, 4.6, 4.9])
>>> round(iauc(minutes, mmol, 4.3), 2)
113.95
>>> round(net_auc(minutes, mmol, 4.3), 2)
112.5
"""

import numpy as np

from analysis.results import Floats


def iauc(minutes: Floats, mmol: Floats, baseline: float) -> float:
    """Return the incremental area: what lies above the baseline; what lies below is not subtracted.

    A segment wholly above adds h·(a + b)/2; one that crosses adds only its triangle above the baseline,
    h·p²/(2·(p + q)) with its ends p above and q below. The recommended definition
    [fao66, wolever2004, brouns2005, iso26642].
    """
    return float(_areas_above(minutes, mmol - baseline).sum())


def net_auc(minutes: Floats, mmol: Floats, baseline: float) -> float:
    """Return the area above the baseline minus the area below it."""
    return float(np.trapezoid(mmol - baseline, minutes))


def share_above(d: Floats) -> Floats:
    """Return the share (0 to 1) of each straight segment of `d`, shape (n,), that lies above zero: (n - 1,).

    >>> import numpy as np
    >>> share_above(np.array([-1.0, 3.0, 2.0, 0.0, -1.0])).tolist()
    [0.75, 1.0, 1.0, 0.0]
    """
    left, right = d[:-1], d[1:]
    above = np.maximum(np.maximum(left, right), 0.0)
    below = np.maximum(-np.minimum(left, right), 0.0)
    span = above + below
    share: Floats = np.divide(above, span, out=np.zeros_like(span), where=span > 0)
    return share


def _areas_above(minutes: Floats, d: Floats) -> Floats:
    above = np.maximum(d, 0.0)
    areas: Floats = np.diff(minutes) * (above[:-1] + above[1:]) / 2 * share_above(d)
    return areas
