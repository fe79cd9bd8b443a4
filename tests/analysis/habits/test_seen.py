"""Meals with a lever and without, against what the plate would do without it."""

import numpy as np
import pytest

from analysis.foods.model import fit_foods
from analysis.foods.rows import Eaten, Row
from analysis.habits.seen import see_lever

RICE = (Eaten("rice", 150.0, 40.0),)


def rows(level: float = 80.0) -> list[Row]:
    return [
        Row(level * swing * (0.6 if walked else 1.0), RICE, levers={"walk after": 1.0} if walked else {})
        for walked in (False, True)
        for swing in (0.8, 0.9, 1.0, 1.1, 1.2)
    ]


def test_shares_are_of_the_same_plate_without_it() -> None:
    found = see_lever(fit_foods(rows()), rows(), "walk after")
    assert found is not None
    assert (found.on.size, found.off.size) == (5, 5)
    assert np.median(found.off) == pytest.approx(100, abs=12)
    assert np.median(found.on) / np.median(found.off) == pytest.approx(0.6)


def test_plates_that_do_next_to_nothing_have_no_share() -> None:
    small = [Row(2.0, (Eaten("egg", 50.0, 0.5),), levers={"walk after": float(k % 2)}) for k in range(6)]
    assert see_lever(fit_foods(small), small, "walk after") is None


def test_what_is_no_column_or_not_both_ways_has_none() -> None:
    assert see_lever(fit_foods(rows()), rows(), "vinegar") is None
    always = [row for row in rows() if row.levers]
    assert see_lever(fit_foods(always), always, "walk after") is None
