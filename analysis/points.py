"""Points lost, in whole numbers that still add up."""

from math import floor

from analysis.results import Evenness


def whole_points(evenness: Evenness) -> dict[str, int]:
    """Round the points lost so that they add up to 100 minus the rounded score.

    Each part gets its whole points; what is left over goes to the parts with the largest remainders.

    Parameters
    ----------
    evenness: one meal's score with the points lost to each part.

    Returns
    -------
    Whole points for each part, in the same order.

    >>> lost = {"rise": 12.6, "area": 4.6, "high": 2.3, "dip": 0.0}
    >>> whole_points(Evenness(score=80.5, lost=lost, low=70, high=90))
    {'rise': 13, 'area': 5, 'high': 2, 'dip': 0}
    """
    whole = {part: floor(points) for part, points in evenness.lost.items()}
    left_over = 100 - round(evenness.score) - sum(whole.values())
    by_remainder = sorted(whole, key=lambda part: whole[part] - evenness.lost[part])
    for part in by_remainder[:left_over]:
        whole[part] += 1
    return whole
