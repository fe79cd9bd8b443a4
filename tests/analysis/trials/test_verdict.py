"""What may be said of pairs, and when; how often wrongly is counted in tests/bench/conclusions_trials.py."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from analysis.trials.verdict import decide, judge, shrink
from tests.bench.conclusions_trials import agreed, trial

Pairs = list[tuple[float, float]]


def pairs_of(cv: float, effect: float, seed: int = 1, n: int = 14) -> Pairs:
    values = trial(np.random.default_rng(seed), "gamma", cv, effect)[:n]
    return [(float(a), float(b)) for a, b in values]


def test_nothing_before_the_first_look_however_clear() -> None:
    for n in range(6):
        said = judge(agreed(), [(100.0 + k, 10.0) for k in range(n)])
        assert said.word == "no telling yet"
        assert (said.look, said.bound, said.decided_at, said.to_go) == (None, None, None, 14 - n)
        assert f"after 6 pairs, and {n} are complete" in said.why
    assert judge(agreed(), []).arms[0].mean is None


def test_clear_at_the_ninth_pair_at_the_earliest() -> None:
    every: Pairs = [(100.0 + 3 * k, 50.0 - 2 * k) for k in range(14)]
    said = [judge(agreed(), every[:n]) for n in range(6, 15)]
    assert [one.word for one in said[:4]] == ["no telling yet", "no telling yet", "leaning", "clear"]
    assert said[3].decided_at == 9
    assert said[3].to_go == 0
    assert said[4:] == [said[3]] * 5, "what comes after the decision changes nothing"


def test_six_agreed_pairs_are_judged_at_once() -> None:
    said = judge(
        agreed(6), [(100.0, 60.0), (90.0, 75.0), (120.0, 70.0), (95.0, 40.0), (99.0, 66.0), (80.0, 70.0)]
    )
    assert said.word == "clear"
    assert said.p == 2 / 64


def test_the_same_pairs_give_the_same_verdict() -> None:
    pairs = pairs_of(0.25, -0.3)
    assert judge(agreed(), pairs) == judge(agreed(), pairs)


@pytest.mark.parametrize("seed", range(4))
def test_arms_the_other_way_round(seed: int) -> None:
    pairs = pairs_of(0.2, -0.2, seed)
    one, other = judge(agreed(), pairs), judge(agreed(), [(b, a) for a, b in pairs])
    assert (one.word, one.decided_at, one.p, one.bound) == (
        other.word,
        other.decided_at,
        other.p,
        other.bound,
    )
    assert one.difference is not None
    assert other.difference is not None
    assert one.difference.estimate == pytest.approx(-other.difference.estimate)
    assert one.difference.low == pytest.approx(-other.difference.high)
    assert one.probability == pytest.approx(1 - (other.probability or 0))


def test_numbers_beside_scipy() -> None:
    """Few pairs have an interval of Student's t at the level the first look has; later p is that of flips."""
    protocol, pairs = agreed(), pairs_of(0.3, -0.1, 8)
    d = np.array([b - a for a, b in pairs])
    few = judge(protocol, pairs[:4]).difference
    assert few is not None
    low, high = stats.t.interval(1 - protocol.range.by(6), 3, d[:4].mean(), stats.sem(d[:4]))
    assert (few.low, few.high) == pytest.approx((low, high), rel=1e-6)
    said = judge(protocol, pairs)
    assert said.decided_at is None
    found = stats.permutation_test((d,), np.mean, permutation_type="samples", n_resamples=np.inf)
    assert said.p == pytest.approx(found.pvalue)
    for arm, values in zip(said.arms, np.array(pairs).T, strict=True):
        assert (arm.n, arm.mean, arm.sd) == pytest.approx((14, values.mean(), values.std(ddof=1)))


def test_shrinkage_vector() -> None:
    """y = -60, mu = -20, tau = 30, s = 37.5 in 4 pairs: B = .561404, estimate -42.456, SD 19.868."""
    estimate, sd = shrink(-60.0, -20.0, 30.0, 2 * 37.5**2 / 4)
    assert (estimate, sd) == pytest.approx((-42.456, 19.868), abs=5e-4)


def test_words_and_ranges_agree() -> None:
    """ "Leaning" and "clear" have 0 outside the range; "no difference" has the range inside the margin."""
    seen = set()
    for seed in range(60):
        cv, effect = ((0.08, 0.0), (0.25, -0.2), (0.3, 0.0))[seed % 3]
        said = judge(agreed(), pairs_of(cv, effect, seed, 8 + seed % 7))
        seen.add(said.word)
        assert said.difference is not None
        assert said.percent is not None
        holds = said.difference.low <= 0 <= said.difference.high
        if said.pairs >= 8 and said.word != "no difference worth having":
            assert holds == (said.word == "no telling yet")
        if said.word == "no difference worth having":
            assert said.percent.low > 100 * (1 / 1.15 - 1) - 0.1
            assert said.percent.high < 15.1
    assert seen == {"clear", "leaning", "no telling yet", "no difference worth having"}


def test_bound_is_the_mean_difference_that_would_be_clear() -> None:
    pairs = pairs_of(0.3, 0.0, 3)
    said = judge(agreed(), pairs)
    assert said.bound is not None
    assert said.difference is not None
    assert abs(said.difference.estimate) < said.bound
    assert said.p is not None
    assert said.p > 0.0155  # what is left to spend at the last look


def test_areas_around_zero_have_no_percent() -> None:
    rng = np.random.default_rng(3)
    said = judge(agreed(), [(float(a), float(b)) for a, b in rng.normal(-2.0, 20.0, (12, 2))])
    assert said.percent is None
    assert said.word in ("no telling yet", "leaning")


def test_a_wider_margin_is_easier_to_stay_within() -> None:
    pairs = pairs_of(0.15, 0.0, 5)
    assert judge(agreed(), pairs).word == "no telling yet"
    assert judge(replace(agreed(), margin=0.5), pairs).word == "no difference worth having"


@pytest.mark.parametrize(("world", "cv"), [("lognormal", 0.4), ("sinks by half", 0.25), ("adds", 0.25)])
def test_false_claims_are_rare(world: str, cv: float) -> None:
    """.05 at most are allowed: of 400 trials hardly ever more than 32 (binomial, .003)."""
    rng = np.random.default_rng(6)
    found = [decide(agreed(), trial(rng, world, cv, 0.0)) for _ in range(400)]
    assert sum(one is not None and one[1] == "clear" for one in found) <= 32


def test_a_difference_of_a_third_is_found() -> None:
    rng = np.random.default_rng(7)
    found = [decide(agreed(), trial(rng, "lognormal", 0.25, -0.3)) for _ in range(200)]
    assert sum(one is not None and one[1] == "clear" for one in found) >= 168  # .9, less three SD
