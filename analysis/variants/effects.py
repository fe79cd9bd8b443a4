"""What each version of a staple does, against the staple as it usually is.

The effect is the difference of the expected signed two-hour area (mmol/L·min): the version at its own usual
portion minus the staple at its, at like levers, sensor and meal before. Two sources tell of it. All meals do,
through the food model (`analysis.foods.model`): a banana taken off is a banana that other meals had. And the
version's own servings do, whatever the model has of them: on top of what the model expects, a version may
have a part of its own,

    area_i = mu_i + u_version(i) + error_i,     u ~ N(0, tau²),

with mu by draws from the model, the errors' variances as fitted there (tails as there), and tau, as a share
of what the staple does, from a few values (`SHARES`), each as probable as the servings make it. So a version
eaten often is judged by its servings, and one eaten twice is drawn to what the model expects. What the gram
ranges of the changed foods leave open is added.

`seen` is the plain difference of the means with Welch's interval, beside it and blind to all else.

A verdict takes `NEED_EACH` servings of both, and that `seen` leaves out no difference, too, so that nothing
is told by nutrients alone; over the versions of all staples of a person, Holm's method [holm1979] keeps the
chance of any false one at `ALPHA`.

On simulated people made otherwise (python -m tests.bench.conclusions_variants, here 60 each, 28 days, walks
after the larger bowls): how often the intervals hold the truth, of all versions and of those eaten three
times and more; error (root mean square) of the effect and of the plain difference, mmol/L·min; versions that
truly do 15 or more told apart; people of whom any version is told falsely.

    additive, CV 25 %                       .94 .95   10 20   .41   .00
    additive, CV 40 %                       .95 .98   12 28   .19   .00
    saturating, fat delaying, CV 25 %       .95 .96    9 19   .41   .00
    saturating, fat delaying, CV 40 %       .97 .99   11 25   .19   .00
    portions 30 % off, days act, CV 25 %    .88 .90   11 20   .27   .00
    the same, saturating, CV 40 %           .93 .96   10 24   .23   .00
    no change does anything, CV 25 %        .73 .66   16 22         .05
    the same, CV 40 %                       .76 .72   18 33         .03

The last two are people in whom not even 22 g of carbohydrate less do anything, which the model holds to be
next to impossible; their intervals are too narrow. At CV 40 % intervals are wider than they need be.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import erfc, sqrt

import numpy as np

from analysis.contrast import Contrast, contrast
from analysis.foods.model import TAIL_DF, Fit, fit_foods, mean_area
from analysis.foods.rows import Row
from analysis.results import Floats
from analysis.variants.staples import Staple, Version, find_staples, portion_sd

LEVEL = 0.9
EDGES = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
ALPHA = 0.05
NEED_EACH = 3
"""Servings of a version, and of the staple as usual, for a verdict."""
SHARES = {0.0: 0.45, 0.1: 0.3, 0.2: 0.17, 0.35: 0.08}
"""SD of a version's own part as a share of what the staple does, and how probable beforehand: judgement."""
LEAST_AREA, LEAST_CARBS = 40.0, 10.0
"""... of at least so much (mmol/L·min)."""
SENSOR_SD = 14.0
"""No SD of areas is taken to be smaller: what noise of the sensor alone makes of one (methods, simulated)."""
SURE_LEAST = 0.95
"""So probable it must be that a version does least of all before that is said."""
SEED = 2026


@dataclass(frozen=True, slots=True)
class Effect:
    """A difference of signed two-hour areas (mmol/L·min) with its interval at `LEVEL`."""

    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class VersionEffect:
    """What a version does, the staple as usual being 0.

    effect: None of the staple as usual; seen: from two servings of both on, else None
    p: two-sided, of no effect; 1 where there are too few servings for a verdict
    told: whether it may be said to differ
    least: how probable it is that none of the versions with enough servings does less
    """

    version: Version
    effect: Effect | None
    seen: Contrast | None
    p: float = 1.0
    told: bool = False
    least: float = 0.0

    @property
    def enough(self) -> bool:
        """Whether it was eaten often enough for a verdict."""
        return len(self.version.rows) >= NEED_EACH


@dataclass(frozen=True, slots=True)
class Judged:
    """A staple and its versions: as usual first, then from the least to the most response."""

    staple: Staple
    versions: tuple[VersionEffect, ...]

    @property
    def usual(self) -> VersionEffect:
        """The staple as it usually is."""
        return self.versions[0]

    @property
    def least(self) -> VersionEffect | None:
        """The version that may be said to do least, None where that is not known.

        It is so by `SURE_LEAST`, and told from the staple as usual; where that is it, all others are.
        """
        enough = [one for one in self.versions if one.enough]
        first = max(enough, key=lambda one: one.least, default=None)
        if first is None or len(enough) < 2 or first.least < SURE_LEAST:
            return None
        apart = [first] if first is not self.usual else [one for one in enough if one is not first]
        return first if all(one.told for one in apart) else None


def judge_variants(rows: Sequence[Row]) -> list[Judged]:
    """Return the staples among some occasions with what their versions do, the most eaten first."""
    staples = find_staples(rows)
    if not staples:
        return []
    fit = fit_foods(rows)
    judged = [_judge(fit, rows, staple) for staple in staples]
    told = iter(_step_down([one.p for each in judged for one in each.versions]))
    return [
        replace(each, versions=tuple(replace(one, told=next(told)) for one in each.versions))
        for each in judged
    ]


def _judge(fit: Fit, rows: Sequence[Row], staple: Staple) -> Judged:
    """Return what the versions of a staple do, none of them told yet."""
    usual, *others = staple.versions
    area = np.array([row.area for row in rows])
    draws = _draw(fit, rows, staple)
    enough = [k for k, one in enumerate(staple.versions) if len(one.rows) >= NEED_EACH]
    least = np.zeros(len(staple.versions))
    if enough:
        winner = np.array(enough)[draws[:, enough].argmin(axis=1)]
        least = np.bincount(winner, minlength=len(staple.versions)) / len(draws)
    found = []
    for k, version in enumerate(others, 1):
        low, high = np.quantile(draws[:, k], EDGES)
        seen = None
        if min(len(usual.rows), len(version.rows)) > 1:
            seen = contrast(area[list(usual.rows)].tolist(), area[list(version.rows)].tolist(), SENSOR_SD)
        effect = Effect(float(np.median(draws[:, k])), float(low), float(high))
        z = float(draws[:, k].mean() / draws[:, k].std())
        p = erfc(abs(z) / sqrt(2)) if {0, k} <= set(enough) and _points_to(seen, z) else 1.0
        found.append(VersionEffect(version, effect, seen, p, least=float(least[k])))
    found.sort(key=lambda one: (one.effect.estimate if one.effect else 0.0, one.version.rows))
    return Judged(staple, (VersionEffect(usual, None, None, least=float(least[0])), *found))


def _points_to(seen: Contrast | None, sign: float) -> bool:
    """Tell whether the servings by themselves differ, and the same way."""
    return seen is not None and seen.clear and (seen.difference > 0) == (sign > 0)


def _step_down(p: Sequence[float]) -> list[bool]:
    """Tell which of some p-values are small even all together (Holm)."""
    told, order = [False] * len(p), sorted(range(len(p)), key=lambda k: p[k])
    judged = sum(each < 1 for each in p)
    for rank, k in enumerate(order):
        if p[k] >= 1 or p[k] > ALPHA / (judged - rank):
            break
        told[k] = True
    return told


def _draw(fit: Fit, rows: Sequence[Row], staple: Staple) -> Floats:
    """Return draws of what each version does, the staple as usual being 0, shape (draws, versions)."""
    expected = np.column_stack([_expect(fit, rows, staple, version) for version in staple.versions])
    design = fit.design
    of = [np.array(version.rows) for version in staple.versions]
    all_rows = np.concatenate(of)
    held = design.held[:, all_rows]
    mu = mean_area(fit.draws, held, design.x(all_rows, held))
    off = design.area[all_rows] - mu
    size = max(float(np.median(expected[:, 0])), LEAST_AREA)
    ends = np.cumsum([len(each) for each in of])[:-1]
    parts = zip(np.split(off, ends, axis=1), np.split(fit.variance[all_rows], ends), strict=True)
    own = [_summarise(*part) for part in parts]
    rng = np.random.default_rng(SEED)
    shares, prior = np.array(list(SHARES)), np.array(list(SHARES.values()))
    evidence = np.log(prior) + sum(_evidence(mean.mean(), v, (shares * size) ** 2) for mean, v in own)
    weight = np.exp(evidence - evidence.max())
    tau2 = (rng.choice(shares, size=len(expected), p=weight / weight.sum()) * size) ** 2
    parts_of_own = []
    for mean, v in own:
        shrunk = tau2 / (tau2 + v)
        parts_of_own.append(shrunk * mean + np.sqrt(shrunk * v) * rng.normal(size=len(expected)))
    off_by = [_portion_sd(rows, staple, one, float(np.median(expected[:, 0]))) for one in staple.versions]
    whole = expected + np.column_stack(parts_of_own) + rng.normal(size=expected.shape) * np.array(off_by)
    found: Floats = whole - whole[:, :1]
    return found


def _summarise(off: Floats, variance: Floats) -> tuple[Floats, float]:
    """Return the weighted mean of what is left of some servings in each draw, and its variance."""
    middle = off.mean(axis=0)
    weight = (TAIL_DF + 1) / (TAIL_DF + middle**2 / variance) / variance
    return off @ weight / weight.sum(), float(1 / weight.sum())


def _evidence(mean: float, variance: float, tau2: Floats) -> Floats:
    """Return the log likelihood of a mean around 0 for each variance between versions."""
    total = tau2 + variance
    found: Floats = -0.5 * (np.log(total) + mean**2 / total)
    return found


def _expect(fit: Fit, rows: Sequence[Row], staple: Staple, version: Version) -> Floats:
    """Return what the model expects of a version at its usual portion, (draws,).

    The mean over the servings of the staple as usual, so that all else is alike.
    """
    design, difference = fit.design, version.difference
    base = np.array(staple.versions[0].rows)
    foods = [design.foods.index(food) for food in (*staple.foods, *(food for food, _ in difference.added))]
    own = {food for food, _ in difference.added} | {food for food, _, _ in difference.portions}
    held = np.zeros((3, base.size, len(design.foods)))
    for k in foods:
        food = design.foods[k]
        if food not in difference.removed:
            of = np.array(version.rows) if food in own else base
            held[:, :, k] = _usual(design.held[:, of, k], design.grams[of, k])[:, None]
    x = design.x(base, held)
    for lever in (*difference.with_it, *difference.without):
        amounts = [rows[i].levers.get(lever, 0.0) for i in version.rows]
        x[:, design.factors.index(lever)] = float(np.median(amounts))
    found: Floats = mean_area(fit.draws, held, x).mean(axis=1)
    return found


def _portion_sd(rows: Sequence[Row], staple: Staple, version: Version, area: float) -> float:
    """Return what not knowing the portions of the foods that differ adds to the error of an effect (SD)."""
    base, difference = staple.versions[0].rows, version.difference
    changed = [food for food, _ in difference.added] + [food for food, _, _ in difference.portions]
    of = dict.fromkeys(changed, version.rows) | dict.fromkeys(difference.removed, base)
    whole = float(np.mean([sum(e.carbs_g for e in rows[i].eaten) for i in base]))
    squares = 0.0
    for food, which in of.items():
        carbs = float(np.mean([sum(e.carbs_g for e in rows[i].eaten if e.food == food) for i in which]))
        off = float(np.mean([portion_sd(rows[i], food) for i in which]))
        squares += (max(area, LEAST_AREA) * carbs / max(whole, LEAST_CARBS) * off) ** 2 / len(which)
    return sqrt(squares)


def _usual(held: Floats, grams: Floats) -> Floats:
    """Return what a food's usual portion holds, (3,), from rows (3, n) of which some have none."""
    eaten = grams > 0
    found: Floats = np.median(held[:, eaten], axis=1) if eaten.any() else np.zeros(3)
    return found
