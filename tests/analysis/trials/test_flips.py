"""Flips of signs against scipy, against enumeration, and the section-7 vectors of a one-person trial."""

from itertools import combinations, product

import numpy as np
import pytest
from scipy import stats

from analysis.trials.flips import Spending, find_bounds, find_interval, find_sides, p_by_flips

VECTORS = (
    # differences, mean, p as a share of 64, t, p of t: computed beside scipy, in the project's methods
    ((-40, -62, -15, -80, -33, -51), -46.833, 2, -5.0318, 0.003995),
    ((-40, 22, -15, -80, 33, -51), -21.833, 20, -1.2244, 0.27533),
)


@pytest.mark.parametrize(("d", "mean", "of_64", "t", "p_of_t"), VECTORS)
def test_vectors(d: tuple[float, ...], mean: float, of_64: int, t: float, p_of_t: float) -> None:
    values = np.array(d, dtype=float)
    assert values.mean() == pytest.approx(mean, abs=5e-4)
    assert p_by_flips(values) == of_64 / 64
    found = stats.permutation_test(
        (values,), np.mean, permutation_type="samples", n_resamples=np.inf, alternative="two-sided"
    )
    assert p_by_flips(values) == pytest.approx(found.pvalue)
    by_t = stats.ttest_1samp(values, 0.0)
    assert by_t.statistic == pytest.approx(t, abs=5e-5)
    assert by_t.pvalue == pytest.approx(p_of_t, abs=5e-6)


@pytest.mark.parametrize("n", [3, 4, 5, 6, 7, 8])
def test_smallest_p_there_is(n: int) -> None:
    assert p_by_flips(np.arange(1.0, n + 1)) == 2 / 2**n


@pytest.mark.parametrize("seed", range(5))
def test_p_as_scipy_with_ties(seed: int) -> None:
    d = np.random.default_rng(seed).integers(-3, 4, 9).astype(float)
    found = stats.permutation_test((d,), np.mean, permutation_type="samples", n_resamples=np.inf)
    assert p_by_flips(d) == pytest.approx(min(1.0, found.pvalue))


@pytest.mark.parametrize("late", [1, 3, 5])
@pytest.mark.parametrize("ties", [False, True])
def test_no_more_flips_are_refused_than_may_be(late: int, ties: bool) -> None:
    """Every one of the 512 outcomes that the lot could have given, each judged as if it had come."""
    rng = np.random.default_rng(late)
    d = rng.integers(1, 5, 9).astype(float) if ties else rng.gamma(2.0, 30.0, 9)
    spending = Spending(0.1, late, 6, 9)
    crossed = {n: 0 for n in range(6, 10)}
    for signs in product((-1, 1), repeat=9):
        sides = find_sides(d * signs, spending)
        for n in crossed:
            crossed[n] += any(sides[k] for k in range(6, n + 1))
    for n, times in crossed.items():
        assert times <= spending.by(n) * 512 + 1e-9
    assert ties or crossed[9] >= 0.1 * 512 - 2  # and next to nothing is left unspent


def test_bounds_use_nothing_that_comes_later() -> None:
    d = np.random.default_rng(1).normal(20.0, 50.0, 14)
    spending = Spending(0.05, 5, 6, 14)
    every = find_bounds(d, spending)
    for n in range(6, 15):
        assert find_bounds(d[:n], spending) == {k: every[k] for k in range(6, n + 1)}
    assert [n for n, bound in every.items() if np.isfinite(bound)] == list(range(9, 15))


def test_interval_of_one_look_is_of_ordered_means_of_subsets() -> None:
    """Hartigan's typical values: one look at 6 pairs may refuse 6 of 64 flips, three on each side."""
    d = np.array([-40.0, 22.0, -15.0, -80.0, 33.0, -51.0])
    means = sorted(float(np.mean(some)) for size in range(1, 7) for some in combinations(d.tolist(), size))
    found = find_interval(np.ones(6), d, Spending(0.1, 3, 6, 6))
    assert found is not None
    assert found == pytest.approx((means[2], means[-3]), abs=0.1)


def test_interval_of_a_ratio_moves_with_the_arm() -> None:
    rng = np.random.default_rng(3)
    below, above = 100 * rng.lognormal(0, 0.3, 10), 70 * rng.lognormal(0, 0.3, 10)
    spending = Spending(0.1, 3, 6, 10)
    found, twice = (find_interval(below, k * above, spending) for k in (1, 2))
    assert found is not None
    assert twice == pytest.approx((2 * found[0], 2 * found[1]))
    assert found[0] < above.sum() / below.sum() < found[1]


def test_interval_and_test_are_one() -> None:
    rng = np.random.default_rng(4)
    spending = Spending(0.1, 3, 6, 12)
    for _ in range(20):
        d = rng.normal(25.0, 40.0, 11)
        found = find_interval(np.ones(11), d, spending)
        assert found is not None
        assert (found[0] > 0 or found[1] < 0) == bool(find_sides(d, spending)[11])


def test_few_pairs_give_no_interval() -> None:
    d = np.array([-40.0, -62.0, -15.0, -80.0, -33.0, -51.0])
    assert find_interval(np.ones(6), d, Spending(0.1, 3, 6, 14)) is None
