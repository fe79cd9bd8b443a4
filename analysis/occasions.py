"""Which notes are one occasion: what is eaten so close together that it has one curve.

A person notes the rice, and twenty minutes later the strawberries. Charged one by one, each pays for the
other: of a first meal with a true area of 200 and a second of 150 that follows after 20 to 45 min, the first
is charged over 100 mmol·min/L too much. So what cannot be parted is one occasion, with all its foods, and
that is what is scored, ranked and counted.

One occasion are
  - notes whose first bites lie within `JOIN_MIN` of its first one [judgement: half of a curve's window];
  - of what follows later but within two hours, what `analysis.overlap` cannot separate: less than 45 min
    after the last bite, or while the rise before is still there and not falling;
  - a nibble, with at most half as much carbohydrate as the meal within two hours after it, whose own rise
    cannot be told from a flat line (less than `TOLD_MMOL`).
Notes with less than 5 g of carbohydrate are joined within `SITTING_MIN` only: an egg noted after the toast is
of that breakfast, a slice of cheese an hour later changes no curve.

Where its curve begins: at the first bite. But where a nibble was more than an hour before the largest note,
at that note's, since two hours from the nibble would miss most of the meal. The baseline is that before the
first bite; where the nibble's rise cannot be told nothing has moved yet, and it is that before the meal. What
was eaten more than an hour after the bite that the curve begins with is for the greater part not in it: such
an occasion is `cut`, which `analysis.servings` flags.

On simulated days (tests/bench/conclusions_occasions.py): a first meal of area 200 with a second of 150 after
20 to 45 min was charged 124 too much on average (93 to 155 in four of five); now both are one occasion, whose
area is off by -1 on average and 18 root mean square from what both add. A nibble of area 5 to 25, 90 min
before pasta, is joined in .90 of days (it is off by -9, 25 root mean square); where it is told and scored
alone, never within less than 10 points. Of meals 61 to 119 min apart .24 are joined, most of them not ranked.
The 1,412 meal times of 12 people in free life [phillips2023] make 885 occasions, 352 of them of several.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from analysis.baseline import find_baseline
from analysis.errors import InsufficientData
from analysis.overlap import APART_MIN, CLOSE_MIN, LAST_MIN, Tail, find_tail
from analysis.ranking import TRACE_G
from analysis.results import Floats

JOIN_MIN = 60.0
SITTING_MIN = 5.0
NIBBLE_SHARE = 0.5
"""So much of a meal's carbohydrate at most is in what is a nibble beside it."""
TOLD_MMOL = 0.5
"""A rise that is told: the mean of three readings in a row, above the baseline. The largest such mean of 17
readings of a flat line has a mean of 0.2 and an SD of 0.1 for a sensor of SD 0.15 (tests/simulated), and
a baseline is off by about 0.15."""
IN_A_ROW = 3
Minutes = Floats
Notes = list[int]


@dataclass(frozen=True, slots=True)
class Occasion:
    """Notes, as places in the order of time, that share a curve.

    main: the note from whose bite the curve is measured; base: the one before whose bite its baseline lies
    cut: something was eaten so late that its response is for the greater part behind the curve's two hours
    """

    notes: tuple[int, ...]
    main: int
    base: int
    cut: bool = False


def find_occasions(bites: Minutes, carbs_g: Floats, read_at: Minutes, mmol: Floats) -> list[Occasion]:
    """Return the occasions that notes make, in the order of their first bites.

    bites: minutes on any one clock, sorted, shape (n,); carbs_g: of each note, NaN = not known
    read_at, mmol: all readings around them on the same clock, sorted; NaN = without a number

    Rice with strawberries after 20 min, and a pear two hours later:

    >>> import numpy as np
    >>> nothing = np.empty(0)
    >>> bites, carbs = np.array([0.0, 20, 140]), np.array([60.0, 10, 15])
    >>> [o.notes for o in find_occasions(bites, carbs, nothing, nothing)]
    [(0, 1), (2,)]
    """
    counts = (~(carbs_g < TRACE_G)).tolist()
    groups = _sit_down(bites.tolist(), counts)
    traces = [notes for notes in groups if not any(counts[k] for k in notes)]
    meals = [notes for notes in groups if any(counts[k] for k in notes)]
    untold: set[int] = set()
    if any(bites[b[0]] - bites[a[-1]] < CLOSE_MIN for a, b in pairwise(meals)):
        known = ~np.isnan(mmol)
        meals, untold = _Joining(bites, carbs_g, read_at[known], mmol[known]).run(meals)
    found = [_settle(notes, bites, carbs_g, notes[0] in untold) for notes in meals]
    return sorted([*found, *(Occasion(tuple(n), n[0], n[0]) for n in traces)], key=lambda o: o.notes[0])


def _sit_down(bites: list[float], counts: list[bool]) -> list[Notes]:
    """Join notes by their times alone."""
    groups: list[Notes] = []
    meal: Notes | None = None
    for k, bite in enumerate(bites):
        if meal is not None and bite - bites[meal[0]] <= (JOIN_MIN if counts[k] else SITTING_MIN):
            meal.append(k)
        elif groups and bite - bites[groups[-1][0]] <= SITTING_MIN:
            groups[-1].append(k)
        else:
            groups.append([k])
        if counts[k] and (meal is None or k not in meal):
            meal = groups[-1]
    return groups


@dataclass(frozen=True, slots=True)
class _Joining:
    """Joins meals whose responses cannot be parted, from the first to the last."""

    bites: Minutes
    carbs_g: Floats
    t: Minutes
    v: Floats

    def run(self, meals: list[Notes]) -> tuple[list[Notes], set[int]]:
        """Return the meals joined, and the first notes of those that begin with a nibble of no rise."""
        joined, untold = [meals[0]], set[int]()
        rest, left = self._rest(meals[0]), None
        for coming in meals[1:]:
            meal = joined[-1]
            gap = self.bites[coming[0]] - self.bites[meal[-1]]
            if gap >= CLOSE_MIN:
                rest, left = self._rest(coming), None
                joined.append(coming)
                continue
            tail = None if rest is None else self._tail(coming, rest)
            if rest is not None and self._is_untold_nibble(meal, coming, rest, left):
                untold.add(meal[0])
            elif gap >= APART_MIN and (rest is None or tail is not None or not self._is_read(coming)):
                # what was not read is no reason to call two meals one
                joined.append(coming)
                left = tail
                continue
            joined[-1] = sorted([*meal, *coming])
        return joined, untold

    def _around(self, bite: float, before: float, after: float) -> tuple[Floats, Floats]:
        low, high = self.t.searchsorted([bite - before, bite + after + 1e-9])
        return self.t[low:high] - bite, self.v[low:high]

    def _rest(self, meal: Notes) -> float | None:
        try:
            return find_baseline(*self._around(float(self.bites[meal[0]]), CLOSE_MIN, CLOSE_MIN)).mmol
        except InsufficientData:
            return None

    def _is_read(self, coming: Notes) -> bool:
        return self._around(float(self.bites[coming[0]]), LAST_MIN, 0.0)[0].size > 0

    def _tail(self, coming: Notes, rest: float) -> Tail | None:
        """Return what is left at the next bite, on the clock of the notes."""
        bite = float(self.bites[coming[0]])
        tail = find_tail(*self._around(bite, CLOSE_MIN, 0.0), 0.0, rest)
        return None if tail is None else replace(tail, at_min=bite)

    def _is_untold_nibble(self, meal: Notes, coming: Notes, rest: float, left: Tail | None) -> bool:
        """Tell whether a meal is a nibble beside the coming one, and shows no rise before it."""
        if not self.carbs_g[meal].sum() <= NIBBLE_SHARE * self.carbs_g[coming].sum():
            return False
        low, high = self.t.searchsorted([self.bites[meal[0]], self.bites[coming[0]] + 1e-9])
        own = self.v[low:high] - rest
        if left is not None:
            own = own - left.fade(self.t[low:high])
        if own.size < IN_A_ROW:
            return False
        means = np.convolve(own, np.full(IN_A_ROW, 1 / IN_A_ROW), "valid")
        return bool(means.max() < TOLD_MMOL)


def _settle(notes: Notes, bites: Minutes, carbs_g: Floats, untold: bool) -> Occasion:
    """Choose the bite that the curve of an occasion begins with."""
    first = main = notes[0]
    if len(notes) == 1:
        return Occasion((first,), first, first)
    if bites[notes[-1]] - bites[first] > JOIN_MIN:
        most = notes[int(np.nan_to_num(carbs_g[notes]).argmax())]
        before = carbs_g[[k for k in notes if k < most]].sum()
        if bites[most] - bites[first] > JOIN_MIN and before <= NIBBLE_SHARE * carbs_g[most]:
            main = most
    cut = bool(bites[notes[-1]] - bites[main] > JOIN_MIN)
    return Occasion(tuple(notes), main, main if untold else first, cut)
