"""How much like servings vary, against people whose variation is known."""

import numpy as np
import pytest

from analysis.trials.noise import LEAST_CV, own_cv


@pytest.mark.parametrize("cv", [0.2, 0.4])
def test_many_repeats_give_the_true_variation(cv: float) -> None:
    """Repeats are gamma distributed, so that nothing is normal; meals differ fivefold in size."""
    rng = np.random.default_rng(7)
    groups = [rng.gamma(1 / cv**2, mean * cv**2, 4).tolist() for mean in rng.uniform(60, 300, 400)]
    found, df = own_cv(groups)
    assert df == 1200
    assert found == pytest.approx(cv, rel=0.08)


def test_few_repeats_stay_near_what_was_published() -> None:
    assert own_cv([[100.0, 200.0]])[0] == pytest.approx(((6 * 0.09 + 0.2222) / 7) ** 0.5, rel=1e-3)
    assert own_cv([])[0] == pytest.approx(0.3)


def test_single_servings_and_flat_meals_say_nothing() -> None:
    assert own_cv([[150.0], [5.0, -4.0, 20.0]]) == own_cv([])
    assert own_cv([[100.0] * 50] * 20)[0] == LEAST_CV
