"""Sensor against finger-pricks and against another sensor."""

import numpy as np
import pytest
from scipy.stats import t as student

from analysis.errors import InsufficientData
from analysis.offsets import find_offset
from tests.analysis.frames_of import readings

MINUTES = np.arange(0, 3 * 1440, 5.0)
MMOL = 5.5 + np.sin(MINUTES / 100)


def test_finger_pricks_by_hand():
    when = np.array([400.0, 1000, 1600, 2200])
    apart = np.array([0.2, 0.4, 0.6, 0.8])
    offset = find_offset(readings(MINUTES, MMOL), readings(when, np.interp(when, MINUTES, MMOL) - apart))
    half = student.ppf(0.95, 3) * apart.std(ddof=1) / 2
    assert offset.mmol == pytest.approx(0.5)
    assert (offset.low, offset.high) == (
        pytest.approx(0.5 - half, abs=1e-3),
        pytest.approx(0.5 + half, abs=1e-3),
    )
    assert (offset.pairs, offset.n, offset.left_out) == (4, 4, 0)


def test_steep_and_far_pairs_are_left_out():
    mmol = np.where(MINUTES < 600, 5.0, np.minimum(5 + (MINUTES - 600) * 0.15, 9))
    kept = (MINUTES < 1000) | (MINUTES > 1060)
    pricks = readings([200, 400, 610, 1030, 1500, 2500, -50, 9999], [4, 4, 1, 1, 8, 8, 1, 1])
    offset = find_offset(readings(MINUTES[kept], mmol[kept]), pricks)
    assert (offset.mmol, offset.pairs, offset.left_out) == (pytest.approx(1.0), 4, 1)


def test_two_sensors_of_one_person():
    """A second sensor 0.3 lower, with noise that lasts: hours that go together must not promise too much."""
    held = []
    for seed in range(200):
        rng = np.random.default_rng(seed)
        slow = np.repeat(rng.normal(0, 0.3, 24), 36)
        other = readings(MINUTES, MMOL - 0.3 + slow + rng.normal(0, 0.1, MINUTES.size))
        offset = find_offset(readings(MINUTES, MMOL), other)
        assert (offset.n, offset.pairs) == (24, 864)
        held.append(offset.low <= 0.3 <= offset.high)
    assert np.mean(held) == pytest.approx(0.9, abs=0.06)


def test_too_few_pairs():
    with pytest.raises(InsufficientData) as caught:
        find_offset(readings(MINUTES, MMOL), readings([100, 105, 700], MMOL[[20, 21, 140]] - 0.5))
    assert (caught.value.have, caught.value.need, caught.value.estimate) == (2, 3, pytest.approx(0.5))
    for sensor, pricks in (
        (readings([], []), readings([5], [5])),
        (readings(MINUTES, MMOL), readings([], [])),
    ):
        with pytest.raises(InsufficientData) as caught:
            find_offset(sensor, pricks)
        assert (caught.value.have, caught.value.estimate) == (0, None)
    limited = readings([100, 700, 1300], [1, 1, 1], flags="low limit")
    with pytest.raises(InsufficientData):
        find_offset(readings(MINUTES, MMOL), limited)
