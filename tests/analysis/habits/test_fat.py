"""Fat beside carbohydrate: found where it takes a share off, else not, and looked at late."""

import numpy as np
import pytest

from analysis.foods.model import fit_foods
from analysis.foods.rows import Eaten, Row
from analysis.habits.effects import judge_levers
from analysis.habits.fat import FAT, judge_fat

FATTY = (0.0, 3.0, 20.0, 24.0)
SWINGS = (0.85, 0.9, 0.95, 1.0, 1.05, 1.1, 1.15)


def plates(takes_off: float, late: float | None = None) -> list[Row]:
    """Return plates of 40 g carbohydrate with little fat or much, on seven days."""
    rows = []
    for day, swing in enumerate(SWINGS):
        for k, fat in enumerate(FATTY):
            area = 80 * swing * (1 - takes_off if fat >= 20 else 1) * (1 + 0.02 * k)
            four = None if late is None else 110 * swing * (1 - late if fat >= 20 else 1)
            eaten = (Eaten("rice", 150.0, 40.0), Eaten("oil", fat, 0.0, fat_g=fat))[: 2 if fat else 1]
            rows.append(Row(area, eaten, day=day, area_4h=four))
    return rows


def judged(rows: list[Row]):  # type: ignore[no-untyped-def]
    return next(one for one in judge_levers(rows) if one.name == FAT)


def test_half_off_is_found_and_nothing_is_not() -> None:
    assert judged(plates(0.5)).told
    assert judged(plates(0.5)).effect.low < -45 < judged(plates(0.5)).effect.high
    assert not judged(plates(0.0)).told


def test_four_hours_say_that_it_only_comes_later() -> None:
    found = judged(plates(0.5, late=0.0))
    assert found.told
    assert found.late is not None
    assert found.late.low < 0 < found.late.high or found.late.low > -15
    assert judged(plates(0.5)).late is None


def test_how_much_fat_there_usually_was() -> None:
    contrast = judge_fat(fit_foods(rows := plates(0.3)), rows)
    assert contrast is not None
    assert contrast.amount == pytest.approx(np.median([0.5, 0.6]))
    assert sum(contrast.on) == 14


def test_without_both_kinds_of_plate_there_is_nothing() -> None:
    rows = [row for row in plates(0.3) if len(row.eaten) == 1]
    assert judge_fat(fit_foods(rows), rows) is None
    assert all(one.name != FAT for one in judge_levers(rows))
