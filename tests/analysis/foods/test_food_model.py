"""The food model against a closed form, scipy's optimiser and differences; what must and must not move it."""

from collections.abc import Sequence

import numpy as np
import pytest
from scipy.optimize import approx_fprime, minimize

from analysis.foods import design as laying
from analysis.foods import model
from analysis.foods.design import lay_out
from analysis.foods.effects import FoodEffect, judge_foods
from analysis.foods.model import TAIL_DF, fit_foods, mean_area
from analysis.foods.rows import Eaten, Row
from analysis.results import Floats
from tests.bench.conclusions_foods import nutrient_line, rank_correlation
from tests.simulated.eaters import eat_for_weeks, kitchen


def simulated(seed: int, days: int = 14) -> list[Row]:
    rng = np.random.default_rng(seed)
    return eat_for_weeks(rng, kitchen(rng, foods=12), days)[0]


def plate(area: float, *carbs: tuple[str, float], **more: object) -> Row:
    return Row(area, tuple(Eaten(food, 4 * g or 50.0, g) for food, g in carbs), **more)  # type: ignore[arg-type]


def by_food(rows: Sequence[Row]) -> dict[str, FoodEffect]:
    return {one.food: one for one in judge_foods(rows)}


def test_one_food_without_prior_and_tails_is_the_weighted_mean(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(laying.PRIORS, "k", (np.log(2.0), 50.0))
    monkeypatch.setattr(model, "TAIL_DF", 1e9)
    areas, sds = (60.0, 90.0, 75.0, 130.0, 80.0, 70.0), (0.0, 0.0, 10.0, 60.0, 0.0, 20.0)
    design = lay_out([plate(a, ("rice", 40.0), area_sd=sd) for a, sd in zip(areas, sds, strict=True)])
    x = design.x(slice(None), design.held)
    mode = model._find_mode(design, x, 0.3, 0.15, None)
    mu = mean_area(mode.theta[None, :], design.held, x)[0]
    variance = mode.scales[0] ** 2 + (mode.scales[1] * mu) ** 2 + np.square(sds)
    weighted = np.average(areas, weights=1 / variance)
    assert mu == pytest.approx(np.full(6, weighted), abs=0.1)
    assert abs(np.mean(areas) - weighted) > 4.0


def test_the_slopes_are_those_of_the_mean() -> None:
    design = lay_out(simulated(3))
    x = design.x(slice(None), design.held)
    theta = np.concatenate([design.prior_mean, np.zeros(len(design.foods))])
    theta += np.random.default_rng(1).normal(0, 0.1, theta.size)
    bend = laying.LEADING.index("g")
    theta[bend] = 0.3
    numeric = approx_fprime(theta, lambda at: mean_area(at[None, :], design.held, x)[0], 1e-6)
    numeric[:, bend] = 0.0  # held where it is
    assert model._slopes(theta, design, x) == pytest.approx(numeric, rel=1e-3, abs=1e-2)


def test_the_mode_is_where_scipy_finds_it() -> None:
    design = lay_out(simulated(4))
    x = design.x(slice(None), design.held)
    tau = 0.3
    found = model._find_mode(design, x, tau, 0.0, None)
    mu = mean_area(found.theta[None, :], design.held, x)[0]
    variance = found.scales[0] ** 2 + (found.scales[1] * mu) ** 2 + design.extra
    sd = np.concatenate([design.prior_sd, np.full(len(design.foods), tau)])
    middle = np.concatenate([design.prior_mean, np.zeros(len(design.foods))])

    def lost(theta: Floats) -> float:
        off = design.area - mean_area(theta[None, :], design.held, x)[0]
        tails = 0.5 * (TAIL_DF + 1) * np.log1p(off**2 / variance / TAIL_DF).sum()
        return float(tails + 0.5 * (((theta - middle) / sd) ** 2).sum())

    best = minimize(lost, found.theta, method="BFGS", options={"maxiter": 60})
    assert lost(found.theta) == pytest.approx(best.fun, abs=0.02)


def test_it_comes_nearer_to_the_truth_than_nutrients_alone() -> None:
    """A short version of tests/bench/conclusions_foods.py; the line is given the true scale."""
    rng = np.random.default_rng(12)
    ranks, errors, held = [], [], []
    for _ in range(6):
        pantry = kitchen(rng)
        rows, truth = eat_for_weeks(rng, pantry)
        found = by_food(rows)
        known = np.flatnonzero(np.isfinite(truth))
        each = [found[pantry.names[f]] for f in known]
        line = nutrient_line(pantry, truth, known)
        estimate = np.array([one.estimate for one in each])
        ranks.append(rank_correlation(estimate, truth[known]) - rank_correlation(line, truth[known]))
        errors.append(((estimate - truth[known]) ** 2).mean() / ((line - truth[known]) ** 2).mean())
        held += [one.low <= t <= one.high for one, t in zip(each, truth[known], strict=True)]
    assert np.mean(ranks) > 0.0
    assert np.mean(errors) < 0.8
    assert 0.8 < np.mean(held) < 0.98


def test_without_rows_there_is_nothing() -> None:
    assert judge_foods([]) == []
    with pytest.raises(ValueError, match="rows"):
        fit_foods([])


def test_a_higher_response_to_one_food_raises_it_and_no_other_as_much() -> None:
    low = [plate(80.0, ("rice", 40.0)), plate(60.0, ("bread", 30.0)), plate(75.0, ("rice", 40.0))] * 4
    high = [Row(row.area + 40 * (row.eaten[0].food == "rice"), row.eaten) for row in low]
    before, after = by_food(low), by_food(high)
    assert after["rice"].estimate > before["rice"].estimate + 20
    assert after["rice"].above > before["rice"].above
    assert abs(after["bread"].estimate - before["bread"].estimate) < 15


def test_more_occasions_narrow_the_interval() -> None:
    rows = [plate(a, ("rice", 40.0)) for a in (70.0, 90.0)] + [
        plate(a, ("bread", 30.0)) for a in (35.0, 45.0)
    ]
    few, many = by_food(rows)["rice"], by_food(rows * 12)["rice"]
    assert many.high - many.low < 0.8 * (few.high - few.low)
    assert (few.occasions, many.occasions) == (2, 24)


def test_half_a_portion_does_less_and_one_and_a_half_more() -> None:
    one = by_food([plate(a, ("rice", 50.0)) for a in (90.0, 110.0, 100.0, 95.0)])["rice"]
    assert 0.45 * one.estimate < one.half < 0.8 * one.estimate
    assert one.estimate < one.half_more < 1.5 * one.estimate + 5
    assert (one.grams, one.carbs_g) == (200.0, 50.0)


def test_what_was_only_eaten_together_is_one_group() -> None:
    rows = [plate(a, ("oats", 40.0), ("banana", 20.0)) for a in (100.0, 120.0, 90.0, 110.0)]
    found = by_food([*rows, plate(60.0, ("bread", 30.0)), plate(70.0, ("bread", 30.0))])
    assert found["oats"].together_with == found["oats"].always_with == ("banana",)
    assert found["bread"].together_with == ()
    assert found["bread"].group is None
    group = found["oats"].group
    assert group is not None
    assert group == found["banana"].group
    assert group[0] == pytest.approx(found["oats"].estimate + found["banana"].estimate, rel=0.25)
    alone = by_food([*rows, plate(80.0, ("oats", 40.0))])
    assert alone["oats"].always_with == ()


def test_a_food_without_carbohydrate_adds_nothing_to_speak_of() -> None:
    rows = [plate(a, ("rice", 40.0), ("egg", 0.0)) for a in (80.0, 90.0)] + [plate(85.0, ("rice", 40.0))]
    found = by_food(rows)
    assert abs(found["egg"].estimate) < 5
    assert found["egg"].plain_mean == 85.0


def test_the_order_of_rows_does_not_matter() -> None:
    rows = simulated(7)
    forward, backward = by_food(rows), by_food(rows[::-1])
    for food, one in forward.items():
        assert backward[food].estimate == pytest.approx(one.estimate, abs=0.5 + 0.05 * abs(one.estimate))


def test_one_wild_curve_moves_little() -> None:
    """An unlogged snack: 250 more on one of twelve."""
    rows = [plate(a, ("rice", 40.0)) for a in (70.0, 85.0, 90.0, 75.0) * 3]
    wild = [*rows[:-1], Row(rows[-1].area + 250.0, rows[-1].eaten)]
    moved = by_food(wild)["rice"].estimate - by_food(rows)["rice"].estimate
    assert 0 <= moved < 0.6 * 250 / 12


def test_portions_are_believed_as_far_as_their_ranges_allow() -> None:
    """Grams that vary by no more than their ranges say are nearly all taken for the usual portion."""
    grams = (80.0, 100.0, 125.0, 100.0)
    exact = [Row(80.0, (Eaten("rice", g, 0.3 * g, g, g),)) for g in grams]
    wide = [Row(80.0, (Eaten("rice", g, 0.3 * g, 0.6 * g, 1.4 * g),)) for g in grams]
    believed, doubted = lay_out(exact).held[0, :, 0], lay_out(wide).held[0, :, 0]
    assert believed == pytest.approx(0.3 * np.array(grams))
    assert np.ptp(np.log(doubted)) == pytest.approx(0.2 * np.ptp(np.log(grams)))
