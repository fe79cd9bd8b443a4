"""The phases of a run: eating as usual, then variations, then settling what is still open.

A quarter of the run, half of it, a quarter of it: a week, two weeks and a week of 28 days (common practice,
no source).
"""

from dataclasses import dataclass
from typing import Literal

Phase = Literal["usual", "vary", "settle"]
USUAL_DAYS, LEAST_DAYS, MOST_DAYS = 28, 7, 60
QUARTER = 0.25


@dataclass(frozen=True, slots=True)
class Run:
    """A run of `days` days, on its day `day` (from 1 on; beyond `days` it goes on to settle).

    Raises ValueError for a length or a day out of range.
    """

    day: int
    days: int = USUAL_DAYS

    def __post_init__(self) -> None:
        if not LEAST_DAYS <= self.days <= MOST_DAYS or self.day < 1:
            raise ValueError(f"a run has {LEAST_DAYS} to {MOST_DAYS} days, not {self.days}, from day 1 on")

    @property
    def phase(self) -> Phase:
        """The phase of the present day.

        >>> [Run(day).phase for day in (1, 7, 8, 21, 22, 30)]
        ['usual', 'usual', 'vary', 'vary', 'settle', 'settle']
        >>> [Run(day, 7).phase for day in range(1, 8)]
        ['usual', 'usual', 'vary', 'vary', 'vary', 'settle', 'settle']
        """
        if self.day <= self._quarter:
            return "usual"
        return "vary" if self.day <= self.days - self._quarter else "settle"

    @property
    def left_in_phase(self) -> int:
        """How many days of the phase there are from the present one on, 0 behind the run's end."""
        ends = {"usual": self._quarter, "vary": self.days - self._quarter, "settle": self.days}
        return max(0, ends[self.phase] - self.day + 1)

    @property
    def left(self) -> int:
        """How many days of the run there are from the present one on, 0 behind its end."""
        return max(0, self.days - self.day + 1)

    @property
    def _quarter(self) -> int:
        return round(QUARTER * self.days)
