"""Areas against worked examples (published/areas.toml), scipy, and an independent dense integration."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from analysis import areas

SERIES = tomllib.loads((Path(__file__).parent / "published/areas.toml").read_text())["series"]
glucose = st.floats(2, 20, allow_subnormal=False)
curves = st.lists(st.tuples(st.integers(1, 40), glucose), min_size=2, max_size=30)


def integrate_densely(minutes, mmol, baseline):
    """The straight-line curve on a grid of 0.01 min, what is below the baseline cut off, by scipy."""
    grid = np.arange(minutes[0], minutes[-1] + 0.005, 0.01)
    return trapezoid(np.clip(np.interp(grid, minutes, mmol) - baseline, 0, None), grid)


def to_arrays(curve):
    return np.cumsum([step for step, _ in curve]).astype(float), np.array([value for _, value in curve])


@pytest.mark.parametrize("variant", ["iauc", "net_auc"])
@pytest.mark.parametrize("case", SERIES, ids=lambda c: c["name"])
def test_area_is_as_published(case, variant):
    minutes, mmol = np.array(case["minutes"], float), np.array(case["mmol"], float)
    area = getattr(areas, variant)(minutes, mmol, mmol[0])
    assert area == pytest.approx(case[variant], abs=case["tolerance"])
    if variant == "iauc":
        assert area == pytest.approx(case.get("printed_iauc", area), abs=0.5)
        assert area != pytest.approx(case.get("clipped", -1), abs=0.1)


@pytest.mark.parametrize("case", [c for c in SERIES if "segments" in c], ids=lambda c: c["name"])
def test_each_segment_is_as_worked_by_hand(case):
    minutes, mmol = np.array(case["minutes"], float), np.array(case["mmol"], float)
    segments = [areas.iauc(minutes[k : k + 2], mmol[k : k + 2], mmol[0]) for k in range(minutes.size - 1)]
    assert segments == pytest.approx(case["segments"], abs=case["tolerance"])


def test_gi_of_the_fao_example():
    """GI = 100 × 93 / mean(113.95, 155.25, 179.17) = 62.23 (FAO Paper 66, ch. 4; series from memory)."""
    *references, food = (
        areas.iauc(np.array(c["minutes"], float), np.array(c["mmol"], float), c["mmol"][0])
        for c in SERIES[:4]
    )
    assert 100 * food / np.mean(references) == pytest.approx(62.23, abs=0.005)


@given(curves, glucose)
def test_net_is_scipys_trapezoid(curve, baseline):
    minutes, mmol = to_arrays(curve)
    assert areas.net_auc(minutes, mmol, baseline) == pytest.approx(
        trapezoid(mmol - baseline, x=minutes), abs=1e-9
    )


@given(curves, glucose)
def test_above_minus_below_is_net(curve, baseline):
    minutes, mmol = to_arrays(curve)
    above, below = areas.iauc(minutes, mmol, baseline), areas.iauc(minutes, -mmol, -baseline)
    assert above - below == pytest.approx(areas.net_auc(minutes, mmol, baseline), abs=1e-9)
    assert areas.net_auc(minutes, mmol, baseline) <= above + 1e-9


@given(curves, glucose)
def test_a_sample_added_on_the_line_changes_nothing(curve, baseline):
    minutes, mmol = to_arrays(curve)
    middle = (minutes[0] + minutes[1]) / 2
    more = np.insert(minutes, 1, middle)
    values = np.insert(mmol, 1, np.interp(middle, minutes, mmol))
    assert areas.iauc(more, values, baseline) == pytest.approx(areas.iauc(minutes, mmol, baseline), abs=1e-9)


@given(curves, glucose)
def test_iauc_is_the_dense_integral(curve, baseline):
    minutes, mmol = to_arrays(curve)
    dense = integrate_densely(minutes, mmol, baseline)
    # each crossing of the grid errs by at most a quarter of (slope × 0.01²); the steepest slope is 18 a min
    assert areas.iauc(minutes, mmol, baseline) == pytest.approx(dense, abs=0.02)
