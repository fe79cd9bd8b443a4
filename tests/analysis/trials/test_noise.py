"""How much like servings vary: what is known from elsewhere at first, then the person's own."""

import numpy as np
import pytest

from analysis.foods.model import fit_foods
from analysis.trials.noise import LEAST_CV, PUBLISHED_CV, PUBLISHED_DF, own_cv
from tests.simulated.dishes import SENSOR_SD, World, live, stock


@pytest.mark.parametrize("cv", [0.22, 0.4])
def test_it_comes_near_the_truth_though_portions_and_plates_vary(cv: float) -> None:
    """Of the response itself and of the sensor, at the mean area of the meals."""
    rng = np.random.default_rng(8)
    found, true = [], []
    for _ in range(6):
        rows, _ = live(rng, stock(rng), World(cv=cv))
        found.append(own_cv(fit_foods(rows))[0])
        true.append(float(np.hypot(cv, SENSOR_SD / np.mean([row.area for row in rows]))))
    assert np.mean(found) == pytest.approx(np.mean(true), rel=0.12)
    plain = [np.std([row.area for row in rows]) / np.mean([row.area for row in rows])]
    assert np.mean(found) < 0.9 * np.mean(plain)


def test_without_meals_it_is_what_studies_found() -> None:
    assert own_cv(None) == (pytest.approx(PUBLISHED_CV), 0)


def test_few_meals_change_it_little() -> None:
    rng = np.random.default_rng(2)
    rows, _ = live(rng, stock(rng), World(cv=0.6))
    found, free = own_cv(fit_foods(rows[:20]))
    assert free < 20
    assert LEAST_CV < found < ((PUBLISHED_DF * PUBLISHED_CV**2 + 20 * 0.8**2) / (PUBLISHED_DF + 1)) ** 0.5
