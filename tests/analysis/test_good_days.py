"""What separates good days from bad: against scipy, and on simulated months."""

import numpy as np
import pytest
from scipy.stats import pearsonr, permutation_test

from analysis.good_days import NEED_DAYS, _find_rho, part_good_days
from tests.simulated.months import live_month

VALUES = np.array([0.2, -0.1, 0.4, 0.3, -0.5, 0.1, 0.6, -0.2, -0.3, 0.2, 0.5, 0.4, -0.1, 0.0])
THING = np.array([0, 1, 0, 0, 1, 1, 0, 1, 1, 0, 0, 0, 1, 1], dtype=float)


def test_one_value_and_one_thing_are_a_permutation_test_of_their_correlation() -> None:
    # statsmodels 0.15: sm.tsa.acf(VALUES - mean, nlags=1)[1] = -0.06727; corrected and not below 0: 0.009
    day = np.arange(14)
    off = VALUES - VALUES.mean()
    assert _find_rho(day, off) == pytest.approx((-0.06726915 * 14 / 13 + 1 / 13) / (1 - 3 / 13), abs=1e-6)
    found = part_good_days(day, [0] * 14, {"mean": VALUES}, {"walk": THING}).found
    assert len(found) == 1
    expected = permutation_test(
        (VALUES,), lambda x: pearsonr(x, THING).statistic, permutation_type="pairings", n_resamples=2000,
        rng=np.random.default_rng(1),
    )  # fmt: skip
    assert found[0].r == pytest.approx(pearsonr(VALUES, THING).statistic, abs=0.02)
    assert found[0].p == pytest.approx(expected.pvalue, abs=0.004)
    assert found[0].days == (7, 7)
    assert found[0].means == pytest.approx((VALUES[THING > 0].mean(), VALUES[THING == 0].mean()))


def test_what_was_on_too_few_days_or_on_all_is_not_looked_at() -> None:
    things = {"rare": np.array([1.0] * 3 + [0.0] * 11), "always": np.ones(14), "walk": THING}
    assert part_good_days(np.arange(14), [0] * 14, {"mean": VALUES}, things).things == ("walk",)
    few = part_good_days(np.arange(11), [0] * 11, {"mean": VALUES[:11]}, {"walk": THING[:11]})
    assert few.found == ()
    assert few.days < NEED_DAYS


def test_things_on_the_very_same_days_are_one() -> None:
    things = {"rye": THING, "butter": THING.copy()}
    found = part_good_days(np.arange(14), [0] * 14, {"mean": VALUES}, things)
    assert found.things == ("rye",)
    assert found.found[0].things == ("rye", "butter")


def test_what_a_sensor_reads_differently_is_not_what_a_day_has() -> None:
    rng = np.random.default_rng(8)
    y = np.where(np.arange(28) >= 14, 6.2, 5.2) + rng.normal(0, 0.15, 28)
    late = (np.arange(28) >= 12).astype(np.float64)  # began two days before the new sensor
    found = part_good_days(np.arange(28), [0] * 14 + [1] * 14, {"mean": y}, {"late": late})
    assert found.found == ()


def test_a_strong_one_is_found_and_nothing_is_mostly_nothing() -> None:
    rng = np.random.default_rng(9)
    found = false = 0
    for _ in range(6):
        month = live_month(rng, late_shift=0.8)
        values = {"spread": month.spreads, "mean": month.means}
        day = np.arange(28)
        told = part_good_days(day, month.sensor, values, month.things).found
        found += any(one.things == ("late shift",) and one.value == "mean" and one.r > 0 for one in told)
        other = live_month(rng).things
        false += bool(part_good_days(day, month.sensor, {"spread": month.spreads}, other).found)
    assert found >= 5
    assert false <= 1
