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
REPEATS = {0.25: 0.85, 0.428: 0.7}
"""Repeatability (one-way ICC) of the score on repeats that are played, by the CV within a meal."""
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


def one_way_icc(values):
    """Shrout & Fleiss ICC(1,1) of a table (meals, servings): (MSB - MSW)/(MSB + (k - 1)·MSW), from memory."""
    k = values.shape[1]
    between = k * values.mean(axis=1).var(ddof=1)
    within = values.var(axis=1, ddof=1).mean()
    return (between - within) / (between + (k - 1) * within)


@pytest.mark.parametrize("cv", [0.25, 0.428])
def test_repeats_that_are_played(cv):
    """120 meals, four servings each: the height of a serving varies by what is published for one person.

    cv: 25 % in laboratories (Wolever, from memory), 42.8 % (Vega-Lopez 2007). Heights between meals are drawn
    so that rises are 0 to 5 mmol/L, as in free life; each serving has its own noise and its own baseline.
    """
    rng = np.random.default_rng(20260302)
    scores, areas, rises = np.empty((3, 120, 4))
    for meal in range(120):
        height, peak = rng.gamma(2.0, 0.9), rng.choice([35, 45, 60])
        for serving in range(4):
            factor = max(0.0, rng.normal(1, cv))
            noise = make_noise(rng, 0.2, (1, MINUTES.size))[0]
            curve = measure_curve(MINUTES, draw(height * factor, peak) + noise + rng.normal(0, 0.3))
            scores[meal, serving] = score_curve(curve).score
            areas[meal, serving], rises[meal, serving] = curve.area_2h, curve.rise_mmol
    score, area, rise = map(one_way_icc, (scores, areas, rises))
    print(f"repeats at CV {cv}: ICC {score:.2f} of the score, {area:.2f} of the area, {rise:.2f} of the rise")
    assert score >= area - 0.005
    assert score == pytest.approx(REPEATS[cv], abs=0.02)
    assert score >= 0.60
