"""Movement after meals over a run: how many meals it followed, for how long, and how that went on."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True, slots=True)
class Moved:
    """Meals, those that movement followed, and its minutes.

    usual: minutes after such a meal (median), None without any; total: minutes after meals
    halves: (meals, followed) of the first and the second half of the days
    """

    meals: int
    followed: int
    total: float
    usual: float | None
    halves: tuple[tuple[int, int], tuple[int, int]]


def describe_moving(days: Sequence[int], minutes: Sequence[float]) -> Moved:
    """Return how movement followed meals.

    days: the day number of each meal; minutes: of movement in the two hours after its first bite

    >>> describe_moving([1, 1, 2, 4], [0.0, 20.0, 10.0, 0.0])
    Moved(meals=4, followed=2, total=30.0, usual=15.0, halves=((3, 2), (1, 0)))
    """
    some = [each for each in minutes if each > 0]
    middle = (min(days) + max(days)) / 2 if days else 0.0
    halves = []
    for second in (False, True):
        of = [m for day, m in zip(days, minutes, strict=True) if (day > middle) == second]
        halves.append((len(of), sum(m > 0 for m in of)))
    return Moved(
        len(minutes), len(some), float(sum(some)), median(some) if some else None, (halves[0], halves[1])
    )
