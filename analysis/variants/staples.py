"""Which meals are staples, and which servings are versions of them, found in what was eaten alone.

A staple is the set of foods of one meal of the day around which most servings of that meal lie: each serving
counts the more the less it differs, so that of plain porridge and porridge with a banana the one is the
staple from which the others are the fewest steps away. A serving is a version of it where at most
`MOST_CHANGED` foods are more or fewer (one food for another is one change) and where what both have in common
is still the meal: at least half of the carbohydrate of each, or more than half of their foods, what is new
holding no more carbohydrate than the staple does. The order of foods plays no part.

A portion is another version only where it leaves how much that food's portion varies anyway. Portions are
parted where a gap of `GAP`, and of `GAPS` times the usual gap, lies between them, so that two habits do not
count as one wide spread; the largest group is the usual portion, and three of its SD are tolerated: at least
a fifth, at most so much that half of it is another version, unless its gram range is wider still. It must
also make a difference of `FELT_G` of carbohydrate or fat. All these limits are judgement.

Where each portion varies by a log SD of .05, .15, .25, so many of 20 servings of three foods are parted from
the others by portion: .00, .04, .11 (tests/analysis/variants).
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log

import numpy as np

from analysis.foods.rows import Eaten, Row
from analysis.results import Floats

MOST_CHANGED, MOST_DIFFERENCES = 2, 3
"""Foods changed, and differences of any kind, up to which a serving is a version of a staple."""
NEED_AROUND, NEED_SAME = 5, 3
"""Servings around a staple, and of these with just its foods, that it takes."""
TRACE_G, FELT_G, EMPTY_KCAL = 5.0, 5.0, 10.0
"""What weighs less, or never holds so much energy, is no food here: a pinch, water, black coffee."""
GAPS = 6.0
GAP, LEAST_TOLERANCE, MOST_TOLERANCE = log(1.15), log(1.2), log(1.85)
TOLERATED_SDS, RANGE_SDS, TAIL_90 = 3.0, 4.0, 1.645
"""A gram range counts as four SD, as in `analysis.foods.design`."""
USUAL_SD, USUAL_WEIGHT = 0.1, 2.0
"""How much a portion varies, as long as few servings tell: log SD, and how many of them it weighs as."""
CHANGEABLE = (
    "walk after", "walk before", "chores after", "chores before", "exercise after", "exercise before",
    "vegetables first", "vinegar", "cinnamon", "lemon juice",
)  # fmt: skip
"""Levers that make a version; the hour and the night do not."""
Foods = frozenset[str]


@dataclass(frozen=True, slots=True)
class Difference:
    """How a version differs from its staple; grams are medians of what was noted.

    added: (food, g); removed: foods; portions: (food, g here, g as usual); with_it, without: levers
    """

    added: tuple[tuple[str, float], ...] = ()
    removed: tuple[str, ...] = ()
    portions: tuple[tuple[str, float, float], ...] = ()
    with_it: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    @property
    def size(self) -> int:
        """How many things differ; one food for another is one."""
        foods = max(len(self.added), len(self.removed))
        return foods + len(self.portions) + len(self.with_it) + len(self.without)


@dataclass(frozen=True, slots=True)
class Version:
    """Servings of a staple that differ from it alike: their places among the rows, in order."""

    difference: Difference
    rows: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Staple:
    """A meal eaten again and again.

    foods: the ones with the most carbohydrate first; grams: the usual portion of each
    versions: as it usually is first, then by how often; beyond: servings with its foods that differ by more
    """

    slot: str
    foods: tuple[str, ...]
    grams: Mapping[str, float]
    versions: tuple[Version, ...]
    beyond: int

    @property
    def servings(self) -> int:
        """Servings of all its versions."""
        return sum(len(version.rows) for version in self.versions)


def find_staples(rows: Sequence[Row]) -> list[Staple]:
    """Return the staples of each slot, the most eaten first; none where nothing recurs."""
    filling = {e.food for row in rows for e in row.eaten if _energy(e) >= EMPTY_KCAL}
    plates = [_plate(row, filling) for row in rows]
    found = []
    for slot in sorted({row.slot for row in rows}):
        left = [k for k, row in enumerate(rows) if row.slot == slot and plates[k]]
        while left:
            carbs = _carbs(rows, plates, left)
            centre = _find_centre([frozenset(plates[k]) for k in left], carbs)
            if centre is None:
                break
            around = [k for k in left if _steps(frozenset(plates[k]), centre, carbs) is not None]
            found.append(_make(rows, plates, around, centre, slot))
            left = [k for k in left if k not in around]
    return sorted(found, key=lambda one: (-one.servings, one.slot, one.foods))


def _energy(e: Eaten) -> float:
    """Return roughly what a food holds (kcal)."""
    return 4 * (e.carbs_g + e.protein_g) + 9 * e.fat_g


def _plate(row: Row, filling: Collection[str]) -> dict[str, float]:
    """Return the grams of each food of a row that counts."""
    grams: dict[str, float] = {}
    for eaten in row.eaten:
        if eaten.food in filling:
            grams[eaten.food] = grams.get(eaten.food, 0.0) + eaten.grams
    return {food: g for food, g in grams.items() if g >= TRACE_G}


def _carbs(rows: Sequence[Row], plates: Sequence[dict[str, float]], of: Sequence[int]) -> dict[str, float]:
    """Return the usual carbohydrate (g) of each food in some rows."""
    held: dict[str, list[float]] = {}
    for k in of:
        for food in plates[k]:
            held.setdefault(food, []).append(sum(e.carbs_g for e in rows[k].eaten if e.food == food))
    return {food: float(np.median(each)) for food, each in held.items()}


def _find_centre(sets: Sequence[Foods], carbs: Mapping[str, float]) -> Foods | None:
    """Return the foods from which the servings are the fewest steps away; None where none recur."""
    counted = Counter(sets)
    best: tuple[tuple[int, int, tuple[str, ...]], Foods] | None = None
    for centre, same in counted.items():
        steps = [(n, _steps(foods, centre, carbs)) for foods, n in counted.items()]
        if same < NEED_SAME or sum(n for n, far in steps if far is not None) < NEED_AROUND:
            continue
        near = sum(n * (1 + MOST_CHANGED - far) for n, far in steps if far is not None)
        key = (-near, -same, tuple(sorted(centre)))
        if best is None or key < best[0]:
            best = (key, centre)
    return None if best is None else best[1]


def _steps(foods: Foods, centre: Foods, carbs: Mapping[str, float]) -> int | None:
    """Return by how many foods a serving differs from a staple; None where it is none of its versions."""
    shared = foods & centre
    steps = max(len(foods - centre), len(centre - foods))
    if not shared or steps > MOST_CHANGED:
        return None
    common, its, usual = (sum(carbs[food] for food in some) for some in (shared, foods, centre))
    alike = 2 * len(shared) > max(len(foods), len(centre)) and its - common <= usual
    return steps if 2 * common >= max(its, usual) or alike else None


def _make(
    rows: Sequence[Row], plates: Sequence[dict[str, float]], around: list[int], centre: Foods, slot: str
) -> Staple:
    """Return a staple with its versions."""
    same = [k for k in around if plates[k].keys() == centre]
    usual: dict[str, float] = {
        food: exp(_middle(np.log([plates[k][food] for k in same]))[0]) for food in centre
    }
    levels = _find_levels(rows, plates, around, same, usual)
    habits = frozenset(
        lever for lever in CHANGEABLE if 2 * sum(rows[k].levers.get(lever, 0) > 0 for k in same) > len(same)
    )
    groups: dict[tuple[Foods, frozenset[tuple[str, int]], frozenset[str]], list[int]] = {}
    for k in around:
        portions = frozenset((food, n) for food in centre & plates[k].keys() if (n := levels[food].get(k, 0)))
        levers = frozenset(lever for lever in CHANGEABLE if rows[k].levers.get(lever, 0) > 0)
        groups.setdefault((frozenset(plates[k]), portions, levers), []).append(k)
    versions = []
    for (foods, portions, levers), of in groups.items():
        grams = {food: float(np.median([plates[k][food] for k in of])) for food in foods}
        difference = Difference(
            tuple((food, grams[food]) for food in sorted(foods - centre)),
            tuple(sorted(centre - foods)),
            tuple((food, grams[food], usual[food]) for food, _ in sorted(portions)),
            tuple(sorted(levers - habits)),
            tuple(sorted(habits - levers)),
        )
        versions.append(Version(difference, tuple(of)))
    near = [one for one in versions if one.difference.size <= MOST_DIFFERENCES]
    carbs = _carbs(rows, plates, around)
    return Staple(
        slot,
        tuple(sorted(centre, key=lambda food: (-carbs[food], food))),
        usual,
        tuple(sorted(near, key=lambda one: (one.difference.size > 0, -len(one.rows), one.rows))),
        len(around) - sum(len(one.rows) for one in near),
    )


def _middle(logs: Floats) -> tuple[float, float]:
    """Return the median of the largest group of some portions (log) between gaps, and its SD."""
    ordered = np.sort(logs)
    gaps = np.diff(ordered)
    apart = max(GAP, GAPS * float(np.median(gaps))) if gaps.size else GAP
    groups = np.split(ordered, np.flatnonzero(gaps > apart) + 1)
    usual = max(groups, key=len)
    squares = float(((usual - usual.mean()) ** 2).sum()) + USUAL_WEIGHT * USUAL_SD**2
    return float(np.median(usual)), (squares / (usual.size - 1 + USUAL_WEIGHT)) ** 0.5


def _find_levels(
    rows: Sequence[Row],
    plates: Sequence[dict[str, float]],
    around: Sequence[int],
    same: Sequence[int],
    usual: Mapping[str, float],
) -> dict[str, dict[int, int]]:
    """Return for each food of a staple which rows hold clearly less or more of it: row -> group (0 = usual).

    What leaves the tolerance on one side makes one group, or several where it spans more than one could.
    """
    found: dict[str, dict[int, int]] = {}
    for food, grams in usual.items():
        off = {k: log(plates[k][food] / grams) for k in around if food in plates[k]}
        spread = _middle(np.array([off[k] for k in same]))[1]
        tolerance = min(max(TOLERATED_SDS * spread, LEAST_TOLERANCE), MOST_TOLERANCE)
        out = {
            k: far
            for k, far in off.items()
            if abs(far) > max(tolerance, TAIL_90 * portion_sd(rows[k], food)) and _felt(rows[k], food, far)
        }
        groups: dict[int, int] = {}
        for sign in (-1, 1):
            side = sorted((k for k, far in out.items() if sign * far > 0), key=lambda k: abs(out[k]))
            for n, part in enumerate(_part(side, out, tolerance), 1):
                groups.update(dict.fromkeys(part, sign * n))
        found[food] = groups
    return found


def portion_sd(row: Row, food: str) -> float:
    """Return how far off (SD of the log) a portion may be by its own gram range, 0 without one."""
    for e in row.eaten:
        if e.food == food and e.grams_low and e.grams_high and e.grams > 0:
            return log(e.grams_high / e.grams_low) / RANGE_SDS
    return 0.0


def _felt(row: Row, food: str, far: float) -> bool:
    """Tell whether a portion that is off by `far` (log) holds so much more or less that it may matter."""
    share = abs(1 - exp(-far))
    return any(share * max(e.carbs_g, e.fat_g) >= FELT_G for e in row.eaten if e.food == food)


def _part(side: list[int], far: Mapping[int, float], widest: float) -> list[list[int]]:
    """Part rows sorted by how far off they are at their widest gap until each part spans at most `widest`."""
    if not side:
        return []
    gaps = [abs(far[b]) - abs(far[a]) for a, b in pairwise(side)]
    if sum(gaps) <= widest:
        return [side]
    cut = gaps.index(max(gaps)) + 1
    return _part(side[:cut], far, widest) + _part(side[cut:], far, widest)
