"""The next servings that tell most, what is still open, and why: what a plan says of one person's record."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.foods.effects import NEED, FoodEffect, judge_fit
from analysis.foods.model import Fit, fit_foods
from analysis.foods.rows import Row
from analysis.habits.effects import LeverEffect, judge_levers_of
from analysis.plan.candidates import AS_USUAL, EVERY, Candidate, Kind, Limits, list_candidates
from analysis.plan.phases import Phase, Run
from analysis.plan.worth import ask, find_covariance, know, lessen, serve

MOST = 3
LEAST_WORTH = 0.004
"""A serving that takes off less of the variance than this share of it is not worth asking for."""
SELDOM = 2
ALLOWED: dict[Phase, tuple[Kind, ...]] = {
    "usual": AS_USUAL,
    "vary": EVERY,
    "settle": EVERY,
}
"""What a phase of the run is for."""
MEALS_A_DAY = 3


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One serving to come, and why it would tell much.

    kind, of, foods, slot, carbs_g: as of a `Candidate`
    worth: the share of all that is not known yet (variance) that it is expected to take off, after those
    suggested before it
    about: the food on the plate that it tells most of, or the lever; occasions: that it was in so far
    low, high: where what this food adds lies at present (mmol/L·min, 0.9)
    beside: the food of the plate that it parts `of` from, "" where it parts none; shared: on how many of the
    `had` occasions of `of` it was; on, off: occasions with a lever and without
    """

    kind: Kind
    of: str
    foods: tuple[str, ...]
    slot: str
    carbs_g: float
    worth: float
    about: str
    occasions: int
    low: float
    high: float
    beside: str = ""
    shared: int = 0
    had: int = 0
    on: int = 0
    off: int = 0


@dataclass(frozen=True, slots=True)
class Plan:
    """What would tell more, the most informative first, and what is open.

    seldom: foods with a curve on one or two occasions only; unparted: pairs that are not told apart
    undecided: levers that were tried and have no verdict; occasions: how many all this is from
    """

    suggestions: tuple[Suggestion, ...]
    seldom: tuple[str, ...]
    unparted: tuple[tuple[str, str], ...]
    undecided: tuple[LeverEffect, ...]
    occasions: int


def make_plan(
    rows: Sequence[Row], limits: Limits, run: Run | None = None, *, slot: str = "", most: int = MOST
) -> Plan:
    """Return what would tell most next.

    limits: what may be suggested; of its levers only those count that are undecided
    run: where in the run one is, None where that is not known; slot: only of this one, "" = of any
    """
    if not rows:
        return Plan((), (), (), (), 0)
    fit = fit_foods(rows)
    foods = judge_fit(fit)
    undecided = tuple(
        one
        for one in judge_levers_of(fit, rows)
        if not one.told and one.name in limits.levers and _may_settle(one, run)
    )
    kinds = limits.kinds if run is None else [kind for kind in ALLOWED[run.phase] if kind in limits.kinds]
    levers = [one.name for one in undecided] if "lever" in kinds else []
    unparted = _find_unparted(foods, limits.avoided)
    chosen = _choose(fit, rows, replace(limits, kinds=kinds, levers=levers), slot, most)
    return Plan(
        suggestions=tuple(_explain(one, rows, foods, unparted) for one in chosen),
        seldom=tuple(one.food for one in foods if one.occasions <= SELDOM and one.food not in limits.avoided),
        unparted=unparted,
        undecided=undecided,
        occasions=len(rows),
    )


def _may_settle(lever: LeverEffect, run: Run | None) -> bool:
    """Tell whether the days that are left may settle a lever, were its effect as it seems."""
    if run is None or lever.more is None:
        return run is None or run.phase != "settle"
    return lever.more <= MEALS_A_DAY * max(1, run.left)


def _find_unparted(foods: Sequence[FoodEffect], avoided: Collection[str]) -> tuple[tuple[str, str], ...]:
    pairs = {
        (one.food, other) if one.food < other else (other, one.food)
        for one in foods
        for other in one.together_with
        if one.occasions >= NEED and not {one.food, other} & set(avoided)
    }
    order = [one.food for one in foods]
    return tuple(sorted(pairs, key=lambda pair: min(map(order.index, pair))))


@dataclass(frozen=True, slots=True)
class _Chosen:
    candidate: Candidate
    worth: float
    about: str


def _choose(fit: Fit, rows: Sequence[Row], limits: Limits, slot: str, most: int) -> list[_Chosen]:
    """Return the best candidate, then the best once that one is known, and so on."""
    candidates = list_candidates(fit, rows, limits, slot)
    if not candidates:
        return []
    foods = [food for food in fit.design.foods if food not in limits.avoided]
    levers = list(limits.levers)
    asked = ask(fit, rows, foods, levers)
    served, noise = serve(fit, candidates, {name for row in rows for name in row.levers})
    covariance = find_covariance(fit)
    every = float((asked * (covariance @ asked)).sum())
    if every <= 0:  # of water alone there is nothing to learn
        return []
    chosen: list[_Chosen] = []
    free = np.ones(len(candidates), dtype=bool)
    while len(chosen) < most and free.any():
        gain = lessen(covariance, asked, served, noise)
        total = np.where(free, gain.sum(axis=1), -1.0)
        best = int(total.argmax())
        worth = float(total[best] / every)
        if worth < LEAST_WORTH:
            break
        one = candidates[best]
        told = dict(zip(foods, gain[best].tolist(), strict=False))
        about = one.of if one.kind == "lever" else max(one.foods, key=lambda food: told[food])
        chosen.append(_Chosen(one, worth, about))
        covariance = know(covariance, served[:, best], float(noise[best]))
        free &= [not _alike(one, other) for other in candidates]
    return chosen


def _alike(one: Candidate, other: Candidate) -> bool:
    """Tell whether two are of the same plate, or change the same thing."""
    return one.foods == other.foods or (one.of != "" and (one.kind, one.of) == (other.kind, other.of))


def _explain(
    chosen: _Chosen, rows: Sequence[Row], foods: Sequence[FoodEffect], unparted: Sequence[tuple[str, str]]
) -> Suggestion:
    one = chosen.candidate
    plates = [frozenset(e.food for e in row.eaten) for row in rows]
    of = [plate for plate in plates if one.of in plate]
    parts = one.kind in ("without", "alone")
    welded = [food for food in one.foods if parts and {(one.of, food), (food, one.of)} & set(unparted)]
    beside = max(welded, key=lambda food: sum(food in plate for plate in of), default="")
    low, high = next(((e.low, e.high) for e in foods if e.food == chosen.about), (0.0, 0.0))
    on = sum(row.levers.get(one.of, 0.0) > 0 for row in rows)
    return Suggestion(
        kind=one.kind,
        of=one.of,
        foods=one.foods,
        slot=one.slot,
        carbs_g=one.carbs_g,
        worth=chosen.worth,
        about=chosen.about,
        occasions=sum(chosen.about in plate for plate in plates),
        low=low,
        high=high,
        beside=beside,
        shared=sum(beside in plate for plate in of),
        had=len(of),
        on=on,
        off=len(rows) - on,
    )
