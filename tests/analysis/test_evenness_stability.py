"""How much the score moves by thinning, sensor noise and a shifted baseline: the figures of its docstring.

Print them: pytest tests/analysis/test_evenness_stability.py -s
"""

import numpy as np
import pytest

from analysis.curves import measure_curve
from analysis.evenness import score_curve

MINUTES = np.arange(-30.0, 181, 5)
PEAKS_MIN = (25, 35, 45)
RISES_MMOL = (0, 1, 2, 3, 4, 5)
NOISE_MMOL = {"small": 0.3, "large": 0.5}
"""What differs from reading to reading. In all, sensors differ from blood by 12.5 % on average (Pleus 2022,
J Diabetes Sci Technol 16:649), 0.7 at 5.5 mmol/L, but much of that is shared by all readings of a meal."""
THIN_MEAN, THIN_MAX = 0.52, 2.56
BASE_MEAN, BASE_MAX = 5.98, 7.67
NOISY = {"small": (-1.9, 5.7, 1.1, 3.0), "large": (-3.9, 9.0, 1.8, 4.7)}
"""Shift and SD of the score by noise, and of what thinning adds to it."""


def draw(rise, peak):
    """Draw an up and down of `rise` with its top at `peak` min: rise · (x·e^(1-x))², x = t/peak."""
    x = np.clip(MINUTES, 0, None) / peak
    return 5 + rise * (x * np.exp(1 - x)) ** 2


SHAPES = {(rise, peak): draw(rise, peak) for rise in RISES_MMOL for peak in PEAKS_MIN}


def score(mmol, step=1, start=0):
    return score_curve(measure_curve(MINUTES[start::step], mmol[start::step])).score


def make_noise(rng, sd, shape, link=0.5):
    """Noise in which each reading keeps half of the one before it."""
    fresh = rng.normal(0, sd * np.sqrt(1 - link**2), shape)
    noise = np.empty(shape)
    noise[:, 0] = rng.normal(0, sd, shape[0])
    for k in range(1, shape[1]):
        noise[:, k] = link * noise[:, k - 1] + fresh[:, k]
    return noise


def test_thinned_to_15_minutes():
    moves = [score(mmol, step=3, start=start) - score(mmol) for mmol in SHAPES.values() for start in range(3)]
    print(f"thinned: mean {np.mean(np.abs(moves)):.2f}, at most {np.max(np.abs(moves)):.2f}")
    assert np.mean(np.abs(moves)) == pytest.approx(THIN_MEAN, abs=0.05)
    assert np.max(np.abs(moves)) == pytest.approx(THIN_MAX, abs=0.1)


def test_baseline_off():
    moves = []
    for mmol in SHAPES.values():
        for off in (0.3, -0.3):
            shifted = np.where(MINUTES <= 0, mmol + off, mmol)
            moves.append(score(shifted) - score(mmol))
    print(f"baseline off by 0.3: mean {np.mean(np.abs(moves)):.2f}, at most {np.max(np.abs(moves)):.2f}")
    assert np.mean(np.abs(moves)) == pytest.approx(BASE_MEAN, abs=0.1)
    assert np.max(np.abs(moves)) == pytest.approx(BASE_MAX, abs=0.1)


@pytest.mark.parametrize("size", ["small", "large"])
def test_sensor_noise(size):
    rng = np.random.default_rng(20260302)
    moves = {}
    thinned = []
    for (rise, _), mmol in SHAPES.items():
        for noise in make_noise(rng, NOISE_MMOL[size], (60, MINUTES.size)):
            noisy = score(mmol + noise)
            moves.setdefault(rise, []).append(noisy - score(mmol))
            thinned.append(score(mmol + noise, step=3) - noisy)
    everything = np.concatenate(list(moves.values()))
    print(f"noise {NOISE_MMOL[size]}: shift {everything.mean():.1f}, SD {everything.std():.1f}; ", end="")
    print("by rise", {r: (round(np.mean(m), 1), round(np.std(m), 1)) for r, m in moves.items()}, end="; ")
    print(f"thinned besides: shift {np.mean(thinned):.1f}, SD {np.std(thinned):.1f}")
    shift, sd, thin_shift, thin_sd = NOISY[size]
    assert everything.mean() == pytest.approx(shift, abs=0.5)
    assert everything.std() == pytest.approx(sd, abs=0.5)
    assert np.mean(thinned) == pytest.approx(thin_shift, abs=0.5)
    assert np.std(thinned) == pytest.approx(thin_sd, abs=0.5)
