"""Best and worst: servings of the same meal taken together, most even first.

Two servings are of the same meal when their foods are the same (`meal_key`) and their portions are alike:
a score that ignores portions would tell a person that half a plate and two plates are one meal. Portions
are compared by available carbohydrate, c, through the ratio of c + 10 g: alike up to 1.5. So 55 and 60 g
are alike, 30 and 60 g are not, and 3 and 8 g (a salad) are. The 10 g stand for what nobody weighs. The
portion is no part of the key, since fixed classes would part 49 from 51 g wherever their edges lie; the
servings at hand are parted at their own widest gap instead.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from analysis.evenness import half_band
from analysis.results import RankedMeal, Ranking, Serving

ALIKE_RATIO = 1.5
UNWEIGHED_G = 10.0
TRACE_G = 5.0


def meal_key(items: Iterable[tuple[str, float]]) -> str:
    """Return the key of a meal's foods (name, grams): the names, in no order and in lower case.

    Less than 5 g of a food (a pinch, a squeeze) does not make another meal, unless there is nothing else.

    >>> meal_key([("Pear", 170), ("rolled  oats", 60), ("salt", 1)])
    'pear + rolled oats'
    """
    foods = [(" ".join(name.lower().split()), grams) for name, grams in items]
    names = {name for name, grams in foods if grams >= TRACE_G} or {name for name, _ in foods}
    return " + ".join(sorted(names))


def same_meal(a: Serving, b: Serving) -> bool:
    """Tell whether two servings are of the same meal: the same foods in portions that are alike."""
    if a.key != b.key:
        return False
    if a.carbs_g is None or b.carbs_g is None:
        return a.carbs_g is b.carbs_g
    return _alike(*sorted((a.carbs_g, b.carbs_g)))


def group_servings(servings: Sequence[Serving]) -> list[tuple[Serving, ...]]:
    """Return the servings meal by meal, each group in the order of time.

    Within one key, servings sorted by carbohydrate are parted at the widest gap until the least and the
    most of each group are alike; so the order of the servings does not matter and all of a group are the
    `same_meal`. Those whose carbohydrate is not known make a group of their own.
    """
    by_key: dict[tuple[str, bool], list[Serving]] = {}
    for serving in servings:
        by_key.setdefault((serving.key, serving.carbs_g is None), []).append(serving)
    groups = []
    for (_, unknown), alike in sorted(by_key.items()):
        parts = [alike] if unknown else _part(sorted(alike, key=_carbs))
        groups += [tuple(sorted(part, key=lambda s: (s.at, s.entry_id))) for part in parts]
    return groups


def rank_meals(servings: Sequence[Serving]) -> Ranking:
    """Rank meals by the mean score of their servings, most even first.

    The score of a meal is the mean over its scored servings; `low` to `high` is where the mean over very
    many servings lies, at the level of the evenness bands: one serving has its own band, two borrow the
    published variation and share it (divided by the root of 2), from three on their own SD counts (t,
    divided by the root of n). The title is that of the latest serving. Two portions of one meal share a
    key. Ties are broken by key, then by the first serving. Servings without a score are in `unscored`.
    """
    scored = [s for s in servings if s.evenness is not None]
    unscored = sorted((s for s in servings if s.evenness is None), key=lambda s: (s.at, s.entry_id))
    meals = [_rank_one(group) for group in group_servings(scored)]
    meals.sort(key=lambda m: (-m.score, m.key, m.servings[0].at, m.servings[0].entry_id))
    return Ranking(tuple(meals), tuple(unscored))


def _rank_one(group: tuple[Serving, ...]) -> RankedMeal:
    evens = [s.evenness for s in group if s.evenness is not None]
    scores = [e.score for e in evens]
    score = sum(scores) / len(scores)
    last = group[-1]
    if len(evens) == 1:
        return RankedMeal(last.key, last.title, group, score, evens[0].low, evens[0].high)
    half = half_band(scores, servings=len(scores))
    return RankedMeal(last.key, last.title, group, score, max(0.0, score - half), min(100.0, score + half))


def _carbs(serving: Serving) -> float:
    return serving.carbs_g or 0.0


def _alike(less_g: float, more_g: float) -> bool:
    return more_g + UNWEIGHED_G <= ALIKE_RATIO * (less_g + UNWEIGHED_G)


def _part(by_carbs: list[Serving]) -> list[list[Serving]]:
    """Part servings sorted by carbohydrate until those of each part are alike."""
    if _alike(_carbs(by_carbs[0]), _carbs(by_carbs[-1])):
        return [by_carbs]
    gaps = [(b + UNWEIGHED_G) / (a + UNWEIGHED_G) for a, b in pairwise(map(_carbs, by_carbs))]
    cut = gaps.index(max(gaps)) + 1
    return _part(by_carbs[:cut]) + _part(by_carbs[cut:])
