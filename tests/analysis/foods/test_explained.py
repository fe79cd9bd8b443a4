"""What made a meal climb, on simulated people who eat otherwise than the model says."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.foods.contrasts import change_portion
from analysis.foods.effects import judge_fit
from analysis.foods.expected import expect_areas
from analysis.foods.explained import explain
from analysis.foods.model import fit_foods
from analysis.foods.rows import Row
from tests.simulated.eaters import eat_for_weeks, kitchen


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    rng = np.random.default_rng(3)
    found, _ = eat_for_weeks(rng, kitchen(rng), cv=0.2)
    return [replace(row, level_mmol=float(rng.normal(5.4, 0.4))) for row in found]


def grown(row: Row, times: float) -> Row:
    """Return a meal with so many times as much of everything."""
    eaten = tuple(
        replace(
            e,
            grams=times * e.grams,
            carbs_g=times * e.carbs_g,
            fat_g=times * e.fat_g,
            fibre_g=times * e.fibre_g,
            grams_low=None,
            grams_high=None,
        )
        for e in row.eaten
    )
    return replace(row, eaten=eaten)


def test_a_meal_is_judged_by_the_others_alone(rows: list[Row]) -> None:
    changed = list(rows)
    changed[40] = replace(rows[40], area=rows[40].area + 500)
    as_it_was, far = explain(rows, 40), explain(changed, 40)
    assert far.expected == pytest.approx(as_it_was.expected, abs=0.5)
    assert far.left == pytest.approx(as_it_was.left + 500, abs=0.5)
    assert far.beyond
    assert far.others == len(rows) - 1


def test_what_is_expected_holds_what_comes(rows: list[Row]) -> None:
    found = [explain(rows, k) for k in range(5, len(rows), 5)]
    assert 0.75 <= np.mean([not one.beyond for one in found]) <= 1.0
    assert np.corrcoef([one.expected for one in found], [one.area for one in found])[0, 1] > 0.6


def test_a_large_portion_is_seen_as_that(rows: list[Row]) -> None:
    k = max(range(len(rows)), key=lambda k: sum(e.carbs_g for e in rows[k].eaten))
    often = [*rows[:k], grown(rows[k], 2.0), *rows[k + 1 :]]
    usual, twice = explain(rows, k), explain(often, k)
    most = next(part for part in twice.parts if part.kind == "portion")
    assert most.area > 20
    assert most.grams > 1.5 * most.usual_g
    assert twice.expected > usual.expected + 20
    assert twice.foods[0].area > usual.foods[0].area


def test_a_walk_taken_and_one_missed(rows: list[Row]) -> None:
    """The simulated walk leaves .8 of a response; it is missed only where most meals had one."""
    walked = next(k for k, row in enumerate(rows) if row.levers["walk after"] and row.area > 100)
    part = next(part for part in explain(rows, walked).parts if part.name == "walk after")
    assert (part.kind, part.area < 0) == ("lever", True)
    still = next(k for k, row in enumerate(rows) if not row.levers["walk after"] and row.area > 100)
    assert all(part.name != "walk after" for part in explain(rows, still).parts)
    mostly = [row for k, row in enumerate(rows) if row.levers["walk after"] or k == still or k % 3 == 0]
    missed = next(p for p in explain(mostly, mostly.index(rows[still])).parts if p.name == "walk after")
    assert (missed.kind, missed.area > 0) == ("no lever", True)


def test_the_level_before_shifts_what_is_expected_and_no_part(rows: list[Row]) -> None:
    low, high = (
        explain([*rows[:-1], replace(rows[-1], level_mmol=level)], len(rows) - 1) for level in (4.6, 6.6)
    )
    assert high.expected < low.expected
    assert [part.area for part in high.parts] == pytest.approx([part.area for part in low.parts])
    shift = [expect_areas([*rows[:-1], replace(rows[-1], level_mmol=level)])[-1].area for level in (4.6, 6.6)]
    assert high.by_level - low.by_level == pytest.approx(shift[1] - shift[0], abs=0.01)
    bare = [replace(row, level_mmol=None) for row in rows]
    assert explain(bare, 5).usual_mmol is None
    assert explain(bare, 5).by_level == 0.0


def test_another_portion_is_what_food_effects_say_of_half(rows: list[Row]) -> None:
    """`FoodEffect.half` and `estimate` are reckoned elsewhere from the same draws."""
    fit = fit_foods(rows)
    for one in judge_fit(fit)[:4]:
        found = change_portion(fit, one.food, 0.5 * one.grams)
        assert found.adds == pytest.approx(one.half)
        assert found.usual_adds == pytest.approx(one.estimate)
        assert found.change.low < found.change.estimate < found.change.high < 0
        assert found.lightest_g <= found.usual_g <= found.heaviest_g
        assert change_portion(fit, one.food, found.heaviest_g).tried
        assert not change_portion(fit, one.food, 1.01 * found.heaviest_g).tried
