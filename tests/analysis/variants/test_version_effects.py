"""What versions do: against general libraries, and on simulated people whose truth is known."""

import numpy as np
import pytest
from scipy import stats

from analysis.foods.rows import Row
from analysis.variants.effects import NEED_EACH, judge_variants
from tests.bench.conclusions_variants import is_the_one, judge_people
from tests.simulated.staples import World, live


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    return live(np.random.default_rng(5), World(), 42)[0]


def test_the_difference_seen_is_welchs(rows: list[Row]) -> None:
    checked = 0
    for judged in judge_variants(rows):
        usual = [rows[k].area for k in judged.usual.version.rows]
        for one in judged.versions[1:]:
            its = [rows[k].area for k in one.version.rows]
            if one.seen is None or min(np.std(usual, ddof=1), np.std(its, ddof=1)) < 14:
                continue
            # scipy.stats.ttest_ind(its, usual, equal_var=False).confidence_interval(0.9)
            outside = stats.ttest_ind(its, usual, equal_var=False)
            low, high = outside.confidence_interval(0.9)
            assert one.seen.difference == pytest.approx(np.mean(its) - np.mean(usual))
            assert one.seen.low <= low < high <= one.seen.high  # degrees of freedom rounded down
            # ... and with scipy's t for these degrees of freedom, exactly
            half = (
                stats.t.ppf(0.95, int(outside.df + 1e-9)) * (high - low) / 2 / stats.t.ppf(0.95, outside.df)
            )
            assert one.seen.high - one.seen.difference == pytest.approx(half, rel=1e-3)
            checked += 1
    assert checked >= 3


def test_the_interval_is_narrower_than_the_one_of_the_servings_alone(rows: list[Row]) -> None:
    mine = next(one for one in judge_variants(rows) if is_the_one(one.staple))
    widths = [
        (one.effect.high - one.effect.low, one.seen.high - one.seen.low)
        for one in mine.versions[1:]
        if one.effect is not None and one.seen is not None
    ]
    assert len(widths) >= 4
    assert sum(joint < alone for joint, alone in widths) >= len(widths) - 1


def test_no_verdict_of_few_servings_and_versions_in_order(rows: list[Row]) -> None:
    mine = next(one for one in judge_variants(rows) if is_the_one(one.staple))
    assert mine.versions[0].effect is None
    estimates = [one.effect.estimate for one in mine.versions[1:] if one.effect is not None]
    assert estimates == sorted(estimates)
    assert not any(one.told for one in mine.versions if len(one.version.rows) < NEED_EACH)
    assert judge_variants([]) == []


def test_a_large_change_is_told_and_nutrients_alone_tell_nothing() -> None:
    rows = live(np.random.default_rng(2), World(cv=0.15, walks=False), 60)[0]
    mine = next(one for one in judge_variants(rows) if is_the_one(one.staple))
    told = [one for one in mine.versions if one.told]
    assert told
    # the same occasions, breakfasts answering all alike: nothing may be told of them
    alike = [Row(100.0 + (7 * k % 11), r.eaten, r.slot, r.sensor, r.levers) for k, r in enumerate(rows)]
    assert not any(one.told for judged in judge_variants(alike) for one in judged.versions)


@pytest.mark.parametrize("world", [World(), World(cv=0.4, misjudged=0.3, days=0.1, saturates=True)])
def test_intervals_hold_the_truth_and_verdicts_are_not_false(world: World) -> None:
    found = judge_people(25, world)
    assert found["found"] == 1.0
    assert 0.82 <= found["held"] <= 0.98
    assert found["any false"] <= 0.05
    assert found["error then"] < 0.7 * found["seen error"]
