"""What is agreed: the lot, the looks, and what a trial is told to be able to find."""

import numpy as np
import pytest

from analysis.trials.protocol import MOST, Arm, Portion, Protocol, draw_order, plan_pairs
from tests.bench.conclusions_trials import agreed


def test_a_seed_gives_its_order_for_ever() -> None:
    assert draw_order(2026, 14) == (1, 1, 0, 0, 1, 1, 0, 1, 1, 0, 1, 1, 0, 1)


def test_lots_are_fair_and_do_not_hang_together() -> None:
    drawn = np.array([draw_order(seed, MOST) for seed in range(4000)])
    assert drawn.mean() == pytest.approx(0.5, abs=0.01)
    assert np.abs(drawn.mean(0) - 0.5).max() < 0.04
    between = np.corrcoef(drawn.T) - np.eye(MOST)
    assert np.abs(between).max() < 0.07


@pytest.mark.parametrize("pairs", [5, 15])
def test_pairs_that_cannot_be(pairs: int) -> None:
    arm = Arm("porridge", (Portion("oats", 60.0),))
    with pytest.raises(ValueError, match="6 to 14"):
        Protocol("", (arm, arm), "breakfast", "", pairs, 1, 0.25)


def test_looks_after_each_pair_from_the_sixth() -> None:
    assert agreed(9).looks == (6, 7, 8, 9)
    assert agreed(9).clear.by(9) == 0.05
    assert agreed(9).range.by(9) == 0.1


def test_plans_need_more_pairs_the_more_servings_vary() -> None:
    plans = [plan_pairs(cv) for cv in (0.1, 0.15, 0.2, 0.25, 0.3, 0.4)]
    assert [plan.pairs for plan in plans] == sorted(plan.pairs for plan in plans)
    assert all(plan.power_30 >= 0.8 or plan.pairs == MOST for plan in plans)
    assert all(plan.power_15 <= plan.power_30 for plan in plans)


def test_chances_of_pairs_that_are_given() -> None:
    few, many = plan_pairs(0.25, 6), plan_pairs(0.25, 14)
    assert (few.pairs, many.pairs) == (6, 14)
    assert few.power_30 < 0.45 < 0.88 < many.power_30
    assert plan_pairs(0.02, 14).power_30 == plan_pairs(0.1, 14).power_30  # ends of the table hold
    assert plan_pairs(0.9, 14).power_30 == plan_pairs(0.5, 14).power_30
