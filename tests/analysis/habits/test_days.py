"""Days of their own level: against the same normal model written out; they widen what belongs to them."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from analysis.foods.model import fit_foods
from analysis.foods.rows import Eaten, Row
from analysis.habits import days as module
from analysis.habits.days import fit_days

RICE = (Eaten("rice", 150.0, 40.0),)


def test_the_blocks_of_days_give_what_whole_matrices_give() -> None:
    """scipy.stats.multivariate_normal.logpdf of the marginal, and the posterior by the textbook's formula."""
    rng = np.random.default_rng(1)
    n, q, delta = 12, 3, 0.2
    slopes, mu = rng.normal(size=(n, q)), rng.uniform(40, 90, n)
    weight, aim, sd = 1 / rng.uniform(100, 400, n), rng.normal(0, 30, n), np.array([2.0, 5.0, 9.0])
    groups = np.array([0, 0, 0, 1, 1, 2, 2, 2, 2, 3, 4, 4])
    found = module._solve(delta, weight, mu, slopes, aim, sd**-2, groups)
    same = groups[:, None] == groups[None, :]
    for c, (evidence, _, mean, covariance) in zip(module.SHARES, found, strict=True):
        noise = c * (np.diag(1 / weight) + delta**2 * same * np.outer(mu, mu))
        whole = noise + slopes @ np.diag(sd**2) @ slopes.T
        prior = (np.log(c / module.USUAL_SHARE) / module.SHARE_SD) ** 2
        marginal = multivariate_normal(np.zeros(n), whole).logpdf(aim) + n / 2 * np.log(2 * np.pi)
        assert evidence == pytest.approx(marginal - prior / 2)
        inverse = np.linalg.inv(slopes.T @ np.linalg.solve(noise, slopes) + np.diag(sd**-2))
        assert covariance == pytest.approx(inverse)
        assert mean == pytest.approx(inverse @ slopes.T @ np.linalg.solve(noise, aim))


def rows_of(levels: list[float], lever: str) -> list[Row]:
    swings = (0.85, 1.0, 1.15)
    return [
        Row(80 * level * swing, RICE, levers={lever: 1.0} if d % 3 == 0 else {}, day=d)
        for d, level in enumerate(levels)
        for swing in swings
    ]


def test_a_lever_of_whole_days_is_less_sure_when_days_differ() -> None:
    rng = np.random.default_rng(4)
    alike, unlike = [1.0] * 21, np.exp(rng.normal(0, 0.3, 21)).tolist()
    found = []
    for levels in (alike, unlike):
        rows = rows_of(levels, "short sleep")
        found.append(fit_days(fit_foods(rows), [row.day for row in rows]))
    assert found[0].day_sd < 0.12 < 0.2 < found[1].day_sd
    assert found[1].factor("short sleep")[1] > 1.5 * found[0].factor("short sleep")[1]


def test_rows_without_a_day_are_alone() -> None:
    rows = rows_of([1.0] * 6, "vinegar")
    alone = fit_days(fit_foods(rows), [None] * len(rows))
    numbered = fit_days(fit_foods(rows), list(range(len(rows))))
    assert alone.factor("vinegar") == pytest.approx(numbered.factor("vinegar"))
