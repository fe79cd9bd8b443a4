"""The food model on its linear core, beside general libraries: no fat, no fibre, no levers, even noise.

There it is a response for a gram that differs from food to food around a common mean, which is what a mixed
model with a random slope is, and, with foods eaten together, a Bayesian ridge regression.
"""

import warnings

import numpy as np
import pytest
import statsmodels.api as sm
from sklearn.linear_model import BayesianRidge

from analysis.foods import design as laying
from analysis.foods import model
from analysis.foods.model import fit_foods
from analysis.foods.rows import Eaten, Row

FOODS, SPREAD, MEAN, NOISE = 14, 0.3, 1.8, 12.0


@pytest.fixture
def core(monkeypatch: pytest.MonkeyPatch) -> None:
    """No saturation, no intercept, hardly any noise that grows, no wider posterior."""
    monkeypatch.setattr(model, "BENDS", {0.0: 1.0})
    monkeypatch.setattr(model, "TAUS", {SPREAD: 1.0})
    monkeypatch.setattr(model, "S1", (0.01,))
    monkeypatch.setattr(model, "TAIL_DF", 1e6)
    monkeypatch.setattr(model, "WIDER", 1.0)
    monkeypatch.setattr(model, "WIDER_FACTORS", 1.0)
    monkeypatch.setitem(laying.PRIORS, "k0", (0.0, 1e-3))
    monkeypatch.setitem(laying.PRIORS, "fat", (0.0, 1e-3))


def draw(rng: np.random.Generator, most: int) -> tuple[list[Row], np.ndarray]:
    """Return 120 rows of 1 to `most` foods, and the carbohydrate of each food in them, shape (120, 14)."""
    slopes = MEAN * np.exp(rng.normal(0, SPREAD, FOODS))
    rows, carbs = [], np.zeros((120, FOODS))
    for i in range(len(carbs)):
        chosen = rng.choice(FOODS, size=int(rng.integers(1, most + 1)), replace=False)
        carbs[i, chosen] = rng.uniform(15, 60, chosen.size)
        area = float(carbs[i] @ slopes + rng.normal(0, NOISE))
        rows.append(Row(area, tuple(Eaten(f"{f:02d}", 4 * carbs[i, f], carbs[i, f]) for f in chosen)))
    return rows, carbs


def slopes_of(rows: list[Row]) -> tuple[np.ndarray, np.ndarray]:
    """Return the response for a gram of each food: means and SDs of the draws, shape (14,)."""
    fit = fit_foods(rows)
    kappa = np.exp(fit.draws[:, [1]] + fit.own)
    return kappa.mean(axis=0), kappa.std(axis=0)


@pytest.mark.usefixtures("core")
def test_with_one_food_a_meal_it_is_a_mixed_model_with_a_random_slope() -> None:
    rows, carbs = draw(np.random.default_rng(5), 1)
    ours, _ = slopes_of(rows)
    grams, food = carbs.sum(axis=1), carbs.argmax(axis=1)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = sm.MixedLM(
            np.array([row.area for row in rows]), grams[:, None], groups=food, exog_re=grams[:, None]
        ).fit()
    assert found.converged
    theirs = found.fe_params[0] + np.array([found.random_effects[f].iloc[0] for f in range(FOODS)])
    assert ours == pytest.approx(theirs, rel=0.03)


@pytest.mark.usefixtures("core")
def test_with_foods_eaten_together_it_is_a_bayesian_ridge_regression() -> None:
    rows, carbs = draw(np.random.default_rng(6), 3)
    ours, sds = slopes_of(rows)
    area = np.array([row.area for row in rows])
    centre = float(area @ carbs.sum(axis=1) / (carbs.sum(axis=1) ** 2).sum())
    ridge = BayesianRidge(fit_intercept=False).fit(carbs, area - centre * carbs.sum(axis=1))
    assert ours == pytest.approx(centre + ridge.coef_, abs=0.03 * MEAN)
    assert sds == pytest.approx(np.sqrt(np.diag(ridge.sigma_)), rel=0.3)
