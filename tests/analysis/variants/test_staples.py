"""Which meals are staples, and what counts as a version of them."""

from collections.abc import Mapping

import numpy as np
import pytest

from analysis.foods.rows import Eaten, Row
from analysis.variants.staples import NEED_AROUND, find_staples

CARBS = {
    "oats": 0.6,
    "milk": 0.05,
    "banana": 0.2,
    "nuts": 0.07,
    "toast": 0.48,
    "jam": 0.6,
    "pizza": 0.3,
    "egg": 0.0,
    "coffee": 0.0,
}
FAT = {"coffee": 0.0}


def row(
    slot: str = "breakfast", wide: float = 1.1, *, levers: Mapping[str, float] | None = None, **grams: float
) -> Row:
    eaten = [
        Eaten(f, g, CARBS.get(f, 0.2) * g, g / wide, g * wide, FAT.get(f, 0.1) * g) for f, g in grams.items()
    ]
    return Row(80.0, tuple(eaten), slot, levers=levers or {})


PORRIDGE = {"oats": 60.0, "milk": 200.0, "banana": 110.0}


def test_each_change_is_a_version_and_the_usual_one_comes_first() -> None:
    rows = [row(**PORRIDGE) for _ in range(5)]
    rows += [row(oats=60, milk=200), row(**PORRIDGE, nuts=15), row(**PORRIDGE | {"oats": 30})]
    rows += [row(**PORRIDGE, levers={"walk after": 1.0}), row(oats=60, milk=200, nuts=20)]
    (staple,) = find_staples(rows)
    assert staple.foods == ("oats", "banana", "milk")
    assert (staple.servings, staple.beyond) == (10, 0)
    assert staple.versions[0].rows == (0, 1, 2, 3, 4)
    found = {one.rows: one.difference for one in staple.versions[1:]}
    assert found[(5,)].removed == ("banana",)
    assert found[(6,)].added == (("nuts", 15.0),)
    assert found[(7,)].portions == (("oats", 30.0, pytest.approx(60.0)),)
    assert found[(8,)].with_it == ("walk after",)
    assert (found[(9,)].removed, found[(9,)].added, found[(9,)].size) == (("banana",), (("nuts", 20.0),), 1)


def test_the_order_of_items_and_of_servings_plays_no_part() -> None:
    rng = np.random.default_rng(3)
    rows = [row(**PORRIDGE) for _ in range(4)] + [row(oats=60, milk=200) for _ in range(3)]
    shuffled = [Row(r.area, tuple(r.eaten[k] for k in rng.permutation(len(r.eaten))), r.slot) for r in rows]
    (one,), (two,) = find_staples(rows), find_staples(shuffled[::-1])
    assert [v.difference for v in one.versions] == [v.difference for v in two.versions]
    assert [len(v.rows) for v in one.versions] == [len(v.rows) for v in two.versions]


@pytest.mark.parametrize(("sd", "most"), [(0.05, 0.01), (0.15, 0.04), (0.25, 0.12)])
def test_portions_within_the_noise_are_one_version(sd: float, most: float) -> None:
    split = []
    for seed in range(30):
        rng = np.random.default_rng(seed)
        rows = [
            row(**{f: g * float(np.exp(rng.normal(0, sd))) for f, g in PORRIDGE.items()}) for _ in range(20)
        ]
        (staple,) = find_staples(rows)
        split.append(1 - len(staple.versions[0].rows) / 20)
    assert np.mean(split) < most


def test_two_weighed_portions_are_two_versions() -> None:
    rows = [row(wide=1.02, **PORRIDGE | {"oats": grams}) for grams in [60] * 6 + [40] * 5 + [30] * 3]
    (staple,) = find_staples(rows)
    assert [len(one.rows) for one in staple.versions] == [6, 5, 3]


def test_a_bowl_that_nobody_weighed_is_not_half_of_another() -> None:
    rows = [row(wide=2.5, **PORRIDGE | {"oats": grams}) for grams in [60] * 6 + [32] * 3]
    (staple,) = find_staples(rows)
    assert len(staple.versions) == 1


def test_another_meal_is_no_version_and_what_weighs_nothing_makes_none() -> None:
    rows = [row(oats=60, milk=200, coffee=200) for _ in range(3)] + [row(oats=60, milk=200) for _ in range(3)]
    rows += [row(toast=60, milk=200) for _ in range(3)] + [row(oats=60, milk=200, pizza=400)]
    (staple,) = find_staples(rows)
    assert staple.servings == 6
    assert len(staple.versions) == 1
    assert find_staples([row(toast=60, jam=20, milk=100), *rows[:1]]) == []


def test_nothing_recurs() -> None:
    rng = np.random.default_rng(0)
    foods = [f"food {k}" for k in range(60)]
    rows = [row(**{f: 100.0 for f in rng.choice(foods, 3, replace=False)}) for _ in range(40)]
    assert find_staples(rows) == []
    assert find_staples([]) == []
    assert find_staples([row(**PORRIDGE) for _ in range(NEED_AROUND - 1)]) == []


def test_breakfasts_and_dinners_are_staples_by_themselves() -> None:
    rows = [row(**PORRIDGE) for _ in range(6)] + [row("dinner", toast=80, egg=60) for _ in range(8)]
    assert [(one.slot, one.servings) for one in find_staples(rows)] == [("dinner", 8), ("breakfast", 6)]
