"""With and without: against scipy where it is a plain test; looks, questions, and simulated records."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from scipy import stats

from analysis.arms import ALPHA, LOOKS, LOOKS_COST, compare_arms, p_of, tell_apart
from analysis.errors import InsufficientData
from analysis.results import Evenness, Serving
from tests.simulated.records import record

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def serve(k, t, key="oats", carbs_g=50.0):
    score = 100.0 - t**2
    nothing = np.array([])
    at = NOON + timedelta(days=k)
    return Serving(
        k, at, "lunch", key, key, carbs_g, nothing, nothing, evenness=Evenness(score, {}, score, score)
    )


def arms_of(first, second, **what):
    a = [serve(2 * k, t, **what) for k, t in enumerate(first)]
    b = [serve(2 * k + 1, t, **what) for k, t in enumerate(second)]
    return a, b, [[s.entry_id for s in side] for side in (a, b)]


def test_p_is_that_of_scipy():
    for df in (1, 2, 3, 10, 27, 60):
        for t in (0.0, 0.3, -1.7, 2.5, 8.0):
            assert p_of(t, df) == pytest.approx(2 * stats.t.sf(abs(t), df), abs=1e-12)


def test_alone_on_their_days_it_is_the_two_sample_t_test():
    """Six each, one meal, one portion, a day each: Student's pooled test [scipy]."""
    rng = np.random.default_rng(2)
    first, second = rng.normal(5.0, 1.1, 6), rng.normal(6.0, 1.1, 6)
    found = compare_arms(*arms_of(first, second))
    test = stats.ttest_ind(second, first)
    assert found.p == pytest.approx(LOOKS_COST * test.pvalue, rel=0.06)
    assert found.score[0] == pytest.approx(100 - first.mean() ** 2, abs=0.8)
    low, high = test.confidence_interval(0.9)
    points = 2 * (first.mean() + second.mean()) / 2
    assert (found.low, found.high) == pytest.approx((-points * high, -points * low), rel=0.08)


def test_asking_between_looks_changes_no_verdict():
    rng = np.random.default_rng(3)
    first, second = rng.normal(5.0, 1.0, 12), rng.normal(5.5, 1.0, 12)
    at = {n: compare_arms(*arms_of(first[:n], second[:n])) for n in (5, 6, 9, 11, 12)}
    assert at[5].p == 1.0
    assert at[6].p == at[9].p == at[11].p
    assert at[12].p <= at[6].p
    assert [at[n].next_look for n in (5, 6, 11, 12)] == [LOOKS[0], LOOKS[1], LOOKS[1], LOOKS[2]]


def test_a_larger_portion_is_not_the_habits_doing():
    """Twice the carbohydrate in one arm, and more response: part of the difference is the portion's."""
    first, second, days = arms_of([4.0, 4.2, 3.9, 4.1, 4.0, 4.1], [5.2, 5.4, 5.1, 5.3, 5.2, 5.3])
    plain = compare_arms(first, second, days)
    larger = compare_arms(first, [replace(s, carbs_g=100.0) for s in second], days)
    assert abs(larger.difference) < 0.7 * abs(plain.difference)
    assert larger.high - larger.low > plain.high - plain.low


def test_a_day_does_not_count_twice():
    rng = np.random.default_rng(4)
    t = [5.0 + shift + noise for shift in rng.normal(0, 1.5, 8) for noise in rng.normal(0, 0.7, 3)]
    b = [serve(100 + k, 1.0 + value) for k, value in enumerate(t)]
    a = [serve(k, value) for k, value in enumerate(t)]
    alone = compare_arms(a, b, [list(range(24)), list(range(100, 124))])
    shared = compare_arms(a, b, [[k // 3 for k in range(24)], [100 + k // 3 for k in range(24)]])
    assert shared.high - shared.low > 1.3 * (alone.high - alone.low)


def test_holm_over_all_questions():
    """Holm 1979: step down from the smallest; his rule by hand."""
    assert tell_apart([]) == []
    for level in (ALPHA, ALPHA / 2):
        assert tell_apart([level]) == [True]
    assert tell_apart([ALPHA / 1.9, ALPHA / 1.9]) == [False, False]
    assert tell_apart([ALPHA / 4, 0.3, ALPHA / 2, ALPHA / 3]) == [True, False, True, True]
    assert tell_apart([ALPHA / 4, ALPHA / 2, 0.3, 0.3]) == [True, False, False, False]


def test_few_false_verdicts_in_records_of_ten_questions():
    """A short version of tests/bench/conclusions_compare.py, which has the figures."""
    rng = np.random.default_rng(5)
    false = found = 0
    for _ in range(6):
        for effects in ({}, {0: 0.5}):
            one = record(rng, staple=True, effects=effects)
            told = tell_apart([compare_arms(*one.arms(h, len(one.servings))).p for h in range(10)])
            false += any(told) and not effects
            found += told[0] and bool(effects)
    assert false <= 1
    assert found >= 4


def test_one_serving_is_refused():
    with pytest.raises(InsufficientData):
        compare_arms(*arms_of([5.0], [5.0, 6.0]))
