"""Best and worst: servings of the same meal taken together, meals judged together, most even first.

Two servings are of the same meal when their foods are the same (`meal_key`) and their portions are alike:
a score that ignores portions would tell a person that half a plate and two plates are one meal. Portions
are compared by available carbohydrate, c, through the ratio of c + 10 g: alike up to 1.5. So 55 and 60 g
are alike, 30 and 60 g are not, and 3 and 8 g (a salad) are. The 10 g stand for what nobody weighs. The
portion is no part of the key, since fixed classes would part 49 from 51 g wherever their edges lie; the
servings at hand are parted at their own widest gap instead.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from analysis.flags import UNFIT
from analysis.results import Floats, RankedMeal, Ranking, Serving
from analysis.shrinkage import Together, judge_together

ALIKE_RATIO = 1.5
UNWEIGHED_G = 10.0
TRACE_G = 5.0
TAIL = 0.05
SURE = 0.95
"""How probable a difference must be to be claimed."""
_PLUS = " + "
CARBS_SLOPE = (0.3, 0.25)
"""Prior mean and SD of the change of t for each root of carbohydrate (g): as if area were proportional to it,
and typical, t would change by 0.4; judgement."""


def meal_key(items: Iterable[tuple[str, float]]) -> str:
    """Return the key of a meal's foods (name, grams): the names, in no order and in lower case.

    Less than 5 g of a food (a pinch, a squeeze) does not make another meal, unless there is nothing else.

    >>> meal_key([("Pear", 170), ("rolled  oats", 60), ("salt", 1)])
    'pear + rolled oats'
    """
    foods = [(" ".join(name.lower().split()), grams) for name, grams in items]
    names = {name for name, grams in foods if grams >= TRACE_G} or {name for name, _ in foods}
    return _PLUS.join(sorted(names))


def join_keys(keys: Iterable[str]) -> str:
    """Return the key of meals eaten together.

    >>> join_keys(["pear + rolled oats", "pear + rye bread"])
    'pear + rolled oats + rye bread'
    """
    return _PLUS.join(sorted({name for key in keys for name in key.split(_PLUS)}))


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
    """Rank meals by what their servings and those of the other meals tell, most even first.

    servings: of one person; those without a score are in `unscored`; those whose curve cannot be laid at the
    meal's door (`analysis.flags.UNFIT`) are in `left_out` with the reason, and play no part
    The score of a meal is the estimate of its mean over very many servings, drawn towards what its
    carbohydrate lets one expect (`analysis.shrinkage`), and `low` to `high` where that mean lies, at 0.9.
    `behind` says for each meal how probable it is that the first one is more even; the first and the last are
    told apart from `SURE` on. The title is that of the latest serving. Two portions of one meal share a key.
    Ties are broken by key, then by the first serving.
    """
    scored = [s for s in servings if s.evenness is not None]
    unscored = sorted((s for s in servings if s.evenness is None), key=lambda s: (s.at, s.entry_id))
    reasons = [(s, next((word for word in UNFIT if word in _flags(s)), None)) for s in scored]
    groups = group_servings([s for s, why in reasons if why is None])
    left_out = tuple((s, UNFIT[why]) for s, why in reasons if why is not None)
    if not groups:
        return Ranking((), tuple(unscored), left_out=left_out)
    found = _judge(groups)
    score = 100.0 - found.lost
    low, high = 100.0 - np.quantile(found.draws, (1 - TAIL, TAIL), axis=0)
    firsts = [group[0] for group in groups]
    order = sorted(
        range(len(groups)), key=lambda k: (-score[k], firsts[k].key, firsts[k].at, firsts[k].entry_id)
    )
    first = found.draws[:, order[0]]
    meals = tuple(
        RankedMeal(
            groups[k][-1].key,
            groups[k][-1].title,
            groups[k],
            float(score[k]),
            float(min(low[k], score[k])),
            float(max(high[k], score[k])),
            behind=float((first < found.draws[:, k]).mean()),
        )
        for k in order
    )
    return Ranking(meals, tuple(unscored), left_out=left_out, told_apart=meals[-1].behind >= SURE)


def _judge(groups: Sequence[Sequence[Serving]]) -> Together:
    lost = [[100.0 - s.evenness.score for s in group if s.evenness is not None] for group in groups]
    t = np.sqrt(np.maximum([each for group in lost for each in group], 0.0))
    meal = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    return judge_together(t, meal, _carbs_of(groups), (CARBS_SLOPE,))


def _carbs_of(groups: Sequence[Sequence[Serving]]) -> Floats:
    """Return the root of each meal's mean carbohydrate (g), centred, shape (n, 1); 0 where not known."""
    known = [[s.carbs_g for s in group if s.carbs_g is not None] for group in groups]
    roots = np.array([np.sqrt(np.mean(each)) if each else np.nan for each in known])
    if np.isnan(roots).all():
        return np.zeros((len(groups), 1))
    centred: Floats = np.nan_to_num(roots - np.nanmean(roots))[:, None]
    return centred


def _flags(serving: Serving) -> str:
    return "; ".join(serving.curve.flags) if serving.curve is not None else ""


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
