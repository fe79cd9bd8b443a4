"""What each food adds: estimate, interval, what nutrients alone say, the plain average, its companions.

The effect of a food is the mean, over the occasions it was in, of the expected signed two-hour area with its
usual portion minus without it, in mmol/L·min; fat and fibre of the food go with it.

On simulated people made otherwise (python -m tests.bench.conclusions_foods, 60 people each, 28 days unless
said): rank correlation with the truth, here, of carbs - 0.8 fat - fibre, and of plain means; error (root mean
square) over that of this nutrient line, which is given the true scale; correlation of departures from that
line; how often the intervals hold, above and below 8 g carbohydrate.

    20 dishes, clean, CV 22 %            .975 .956 .58    0.67   .80    .94 .98
    20 dishes, clean, CV 40 %            .972 .957 .57    0.82   .66    .96 .98
    20 dishes, all faults, CV 30 %       .959 .948 .54    0.99   .56    .90 .94
    20 dishes, walks and day effects     .976 .954 .53    0.74   .75    .94 .97
    20 dishes, saturating                .971 .952 .53    0.76   .75    .92 .97
    24 foods, spread .2, CV 30 %         .933 .918 .38    0.74   .57    .93 .95
    24 foods, spread .35                 .910 .878 .39    0.75   .57    .86 .94
    24 foods, spread .5                  .892 .838 .40    0.74   .62    .83 .91
    24 foods, spread .35, 14 days        .905 .870 .41    0.80   .53    .90 .97

Who knew everything of the clean dishes but the foods' own responses (a ridge regression with the true
nutrient line, spread and noise) would come to 0.61 and .81 at CV 22 %, and to 0.70 and .74 at 40 %. That a
food departs from its nutrients is said of 1 to 3 % of foods there, and wrongly in 0 to 3 % of these cases,
with all faults in 20 %. The error over the line's and the departures are short of what was aimed at (.45 and
.91, clean).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.foods.design import LEADING
from analysis.foods.model import WIDER, Fit, fit_foods, mean_area
from analysis.foods.rows import Row
from analysis.kept import once
from analysis.results import Floats

LEVEL = 0.9
EDGES = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
NOT_LEARNT = 0.8
"""Posterior over prior variance from which on a food has shown nothing of its own."""
WELDED = -0.7
"""Posterior correlation of two foods' log responses below which they are not told apart."""
NEED = 2
"""Occasions a food takes to be told of by itself."""
PORTIONS = (1.0, 0.5, 1.5)


@dataclass(frozen=True, slots=True)
class FoodEffect:
    """What the usual portion of a food adds to the signed two-hour area (mmol/L·min), at `LEVEL`.

    occasions: it was in; grams, carbs_g: its usual portion
    nutrients_say: were each gram of its carbohydrate as that of all foods; plain_mean: mean area of its
    occasions, whatever else was in them; half, half_more: for half and one and a half portions
    together_with: foods it is not told apart from; always_with: of these, the ones it was never without
    group: estimate, low and high of the food and those of `always_with` at once, None where there are none
    learnt: whether it showed anything of its own
    above: how probable it is that it does more than its nutrients say
    """

    food: str
    occasions: int
    grams: float
    carbs_g: float
    estimate: float
    low: float
    high: float
    nutrients_say: float
    plain_mean: float
    half: float
    half_more: float
    together_with: tuple[str, ...]
    always_with: tuple[str, ...]
    group: tuple[float, float, float] | None
    learnt: bool
    above: float


def judge_foods(rows: Sequence[Row]) -> list[FoodEffect]:
    """Return what each food adds, the most first; [] without rows."""
    return judge_fit(fit_foods(rows)) if rows else []


@once
def judge_fit(fit: Fit) -> list[FoodEffect]:
    """Return what each food of a fitted model adds, the most first."""
    design = fit.design
    welded, always = _find_welded(fit)
    alone = fit.draws.copy()
    alone[:, len(LEADING) + len(design.factors) :] = 0.0
    found = []
    for k, food in enumerate(design.foods):
        inside = np.flatnonzero(design.grams[:, k] > 0)
        if not inside.size:
            continue
        usual, grams = usual_portions(fit, [k], inside)
        draws, half, half_more = add_portions(fit, inside, [k], [share * usual for share in PORTIONS])
        estimate, low, high = _spread(draws)
        beside = np.flatnonzero(always[k]).tolist()
        group = None
        if beside:
            whole = [k, *beside]
            group = _spread(add_foods(fit, inside, whole, usual_portions(fit, whole, inside)[0]))
        found.append(
            FoodEffect(
                food=food,
                occasions=int(inside.size),
                grams=float(grams[0]),
                carbs_g=float(usual[0, 0]),
                estimate=estimate,
                low=low,
                high=high,
                nutrients_say=float(np.median(add_foods(fit, inside, [k], usual, theta=alone))),
                plain_mean=float(design.area[inside].mean()),
                half=float(np.median(half)),
                half_more=float(np.median(half_more)),
                together_with=tuple(design.foods[j] for j in np.flatnonzero(welded[k])),
                always_with=tuple(design.foods[j] for j in beside),
                group=group,
                learnt=bool(fit.own[:, k].var() < NOT_LEARNT * WIDER * fit.tau2),
                above=float((fit.own[:, k] > 0).mean()),
            )
        )
    return sorted(found, key=lambda one: (-one.estimate, one.food))


def usual_portions(fit: Fit, places: Sequence[int], rows: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Return what the usual portions of some foods hold, shape (3, len(places)), and their grams."""
    usual: Floats = np.median(fit.design.held[:, rows][:, :, places], axis=1)
    grams: Floats = np.median(fit.design.grams[rows][:, places], axis=0)
    return usual, grams


def add_foods(
    fit: Fit,
    rows: NDArray[np.intp],
    places: Sequence[int],
    amounts: Floats,
    *,
    instead: Sequence[int] = (),
    theta: Floats | None = None,
) -> Floats:
    """Return the mean over rows of mu with foods in these amounts minus without them, shape (draws,).

    places: of the foods in the design; amounts: what each holds, shape (3, len(places))
    instead: foods that are taken off both; theta: draws other than those of the fit
    """
    return add_portions(fit, rows, places, [amounts], instead=instead, theta=theta)[0]


def add_portions(
    fit: Fit,
    rows: NDArray[np.intp],
    places: Sequence[int],
    portions: Sequence[Floats],
    *,
    instead: Sequence[int] = (),
    theta: Floats | None = None,
) -> list[Floats]:
    """Return for each of some portions of foods what `add_foods` does."""
    draws = fit.draws if theta is None else theta
    without = fit.design.held[:, rows].copy()
    without[:, :, [*places, *instead]] = 0.0
    eaten: NDArray[np.bool_] = np.asarray(without.any(axis=(0, 1)))
    eaten[places] = True
    beside = np.flatnonzero(eaten)  # the others add nothing, and a year has hundreds
    head = len(LEADING) + len(fit.design.factors)
    few = np.concatenate([draws[:, :head], draws[:, head + beside]], axis=1)

    def expect(held: Floats) -> Floats:
        """Return what is expected of the rows, the mean over them."""
        mean: Floats = mean_area(few, held[:, :, beside], fit.design.x(rows, held)).mean(axis=1)
        return mean

    none = expect(without)
    found = []
    for amounts in portions:
        having = without.copy()
        having[:, :, places] = amounts[:, None, :]
        found.append(expect(having) - none)
    return found


def _spread(draws: Floats) -> tuple[float, float, float]:
    """Return the median and the edges of the interval."""
    middle, low, high = np.quantile(draws, (0.5, *EDGES)).tolist()
    return middle, low, high


def _find_welded(fit: Fit) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return which foods are not told apart, and which were only ever eaten together, both (F, F)."""
    eaten = (fit.design.grams > 0).astype(float)
    together = eaten.T @ eaten
    times = eaten.sum(axis=0)
    always = (together == times[:, None]) & (together == times[None, :]) & (times >= NEED)[:, None]
    off = np.atleast_2d(np.corrcoef(fit.own.T)) < WELDED
    np.fill_diagonal(always, False)
    return (off & ~np.eye(times.size, dtype=bool)) | always, always
