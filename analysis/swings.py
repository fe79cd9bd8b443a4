"""Ups and downs of a series that are larger than a given size: for MAGE, and for rises nobody logged."""

from collections.abc import Sequence

from analysis.results import Floats


def find_turns(mmol: Floats | Sequence[float], size: float) -> list[int]:
    """Return the places of the turning points between swings larger than `size`, first and last included.

    mmol: shape (n,), in the order of time, without NaN. Successive turning points are a low and a high in
    turn, each more than `size` apart; smaller swings between them are merged into the larger ones. Of equal
    values the first is taken. Fewer than two places: no swing is that large.

    The step of 0.5 down and up is merged:

    >>> find_turns([5.0, 9.0, 8.5, 9.2, 5.0, 9.0, 5.0], 2.0)
    [0, 3, 4, 5, 6]
    """
    values = [float(v) for v in mmol]
    turns: list[int] = []
    low = high = 0
    rising: bool | None = None
    for k, value in enumerate(values):
        if value > values[high]:
            high = k
        if value < values[low]:
            low = k
        if rising is not True and value - values[low] > size:
            turns.append(low)
            rising, high = True, k
        elif rising is not False and values[high] - value > size:
            turns.append(high)
            rising, low = False, k
    if rising is not None:
        turns.append(high if rising else low)
    return turns
