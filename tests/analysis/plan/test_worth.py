"""The value of a next serving, against Bayes' rule worked out otherwise."""

import numpy as np
import pytest
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import DotProduct

from analysis.foods.model import fit_foods, mean_area
from analysis.plan.worth import find_covariance, find_slopes, know, lessen
from tests.simulated.dishes import World, live, stock

COVARIANCE = np.array([[1.0, -0.8, 0.2], [-0.8, 0.9, 0.0], [0.2, 0.0, 0.4]])
SERVED = np.array([[1.0, 0.5, 0.0], [0.0, 0.0, 2.0]]).T
ASKED = np.array([[1.0, 0.0, 0.0], [0.3, 1.0, -1.0]]).T
NOISE = np.array([0.7, 1.3])


@pytest.mark.parametrize("k", [0, 1])
def test_what_is_left_is_what_bayes_leaves(k: int) -> None:
    # by precisions: the inverse of V' is that of V plus g g' / s²
    precision = np.linalg.inv(COVARIANCE) + np.outer(SERVED[:, k], SERVED[:, k]) / NOISE[k]
    after = np.linalg.inv(precision)
    assert know(COVARIANCE, SERVED[:, k], NOISE[k]) == pytest.approx(after)
    fell = np.diag(ASKED.T @ (COVARIANCE - after) @ ASKED)
    assert lessen(COVARIANCE, ASKED, SERVED, NOISE)[k] == pytest.approx(fell)


def test_the_covariance_is_that_of_a_gaussian_process_on_the_slopes() -> None:
    """Bayesian linear regression is one with a linear kernel: scikit-learn's, with noise of each row."""
    rng = np.random.default_rng(1)
    rows, _ = live(rng, stock(rng), World())
    fit = fit_foods(rows[:40])
    design = fit.design
    x = design.x(slice(None), design.held)
    slopes = find_slopes(fit, design.held, x)
    scale = np.sqrt(np.concatenate([design.prior_sd**2, np.full(len(design.foods), fit.tau2)]))
    model = GaussianProcessRegressor(DotProduct(0.0, "fixed"), alpha=fit.variance, optimizer=None)
    model.fit((slopes * scale[:, None]).T, np.zeros(40))
    _, expected = model.predict((slopes * scale[:, None]).T, return_cov=True)
    assert slopes.T @ find_covariance(fit) @ slopes == pytest.approx(expected, rel=1e-4, abs=1e-4)


def test_slopes_are_those_of_the_expected_response() -> None:
    rng = np.random.default_rng(2)
    rows, _ = live(rng, stock(rng), World(walks=True))
    fit = fit_foods(rows)
    design = fit.design
    x = design.x(slice(None), design.held)
    middle = fit.draws.mean(axis=0)
    step = 0.01 * rng.normal(size=middle.size)
    moved = mean_area((middle + step)[None, :], design.held, x) - mean_area(middle[None, :], design.held, x)
    assert step @ find_slopes(fit, design.held, x) == pytest.approx(moved[0], abs=0.05 * np.abs(moved).max())
