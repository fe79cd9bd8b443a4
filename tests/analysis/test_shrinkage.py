"""Judging meals together, against a published worked case and against what must hold."""

import numpy as np
import pytest

from analysis.shrinkage import judge_together

NONE = np.zeros((0, 0))


def batting():
    """Return Efron & Morris's 18 batters: hits of the first 45 at bats, and the rest of the season [memory].

    Their transformed averages have unit variance; the table is in Efron & Morris 1975, JASA 70:311-319.
    """
    hits = np.array([18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7])
    more = [0.230, 0.264, 0.256, 0.303, 0.264, 0.226, 0.285, 0.316, 0.200]
    season = np.array([0.346, 0.298, 0.276, 0.222, 0.273, 0.270, 0.263, 0.210, 0.269, *more])
    return (np.sqrt(45) * np.arcsin(2 * p - 1) for p in (hits / 45, season))


def test_drawn_together_as_in_the_classic_case():
    first, season = batting()
    # the scale of t: unit SD lies within the grid, the level is moved to where t is expected
    moved = first - first.mean() + 5.0
    found = judge_together(moved, np.arange(18), NONE, ())
    shrunk = np.sqrt(found.lost - found.lost.min() + 1)  # order and spread only
    assert np.ptp(found.lost) < 0.5 * np.ptp(moved**2)
    assert (np.diff(shrunk) <= 1e-9).all()
    theta = np.sqrt(found.draws).mean(axis=0)
    theta += first.mean() - theta.mean()
    assert ((theta - season) ** 2).sum() < 0.5 * ((first - season) ** 2).sum()


def test_more_servings_count_more():
    t = np.array([4.0, 6.0, 6.0, 6.0, 6.0, 6.0])
    few, often = judge_together(t, np.array([0, 1, 1, 1, 1, 1]), NONE, ()).lost
    assert 36.0 - often < few - 16.0


def test_nutrients_foretell_only_where_they_do():
    rng = np.random.default_rng(3)
    carbs = np.linspace(-2.5, 2.5, 20)[:, None]
    slopes = ((0.3, 0.25),)
    follows = judge_together(5 + 0.8 * carbs[:, 0] + rng.normal(0, 0.7, 20), np.arange(20), carbs, slopes)
    assert np.corrcoef(follows.lost, carbs[:, 0])[0, 1] > 0.98
    unlike = judge_together(5 + rng.normal(0, 0.7, 20), np.arange(20), carbs, slopes)
    assert np.ptp(unlike.lost) < 0.3 * np.ptp(follows.lost)


def test_same_answer_each_time_and_no_meal_without_a_serving():
    t, meal = np.array([4.0, 5.0, 7.0]), np.array([0, 1, 1])
    one, two = (judge_together(t, meal, NONE, ()) for _ in range(2))
    assert (one.draws == two.draws).all()
    assert (one.lost == two.lost).all()
    with pytest.raises(ValueError, match="serving"):
        judge_together(t, np.array([0, 2, 2]), NONE, ())
