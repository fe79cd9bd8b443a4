"""What a day's food holds: days that count, intervals against scipy, published lines."""

from datetime import date, timedelta

import pytest
from scipy.stats import t

from analysis.intakes import LINES, NUTRIENTS, Intake, Line, Nutrient, describe_intakes
from analysis.references import REFERENCES

DAY = date(2026, 3, 2)


def day(n: int, notes: int = 3, span_h: float = 12.0, unknown: int = 0, **amounts: float) -> Intake:
    held: dict[Nutrient, float] = dict.fromkeys(NUTRIENTS, 0.0)
    held |= {"energy": 2000.0, "carbohydrate": 240.0, "fibre": 22.0, "protein": 75.0, "saturated fat": 26.0}
    held |= {name.replace("_", " "): amount for name, amount in amounts.items()}  # type: ignore[misc]
    return Intake(DAY + timedelta(days=n), notes, span_h, unknown, held, dict.fromkeys(NUTRIENTS, 1.0))


def line(nutrient: Nutrient, whose: str) -> Line:
    return next(one for one in LINES if one.nutrient == nutrient and whose in one.whose)


def test_a_day_with_a_meal_or_two_missing_is_no_day_s_intake() -> None:
    assert day(0).whole
    assert not day(0, notes=1).whole
    assert not day(0, span_h=3.0).whole
    assert not day(0, unknown=1).whole
    assert not day(0, notes=2, energy=700.0).whole
    assert day(0, notes=2, energy=1500.0).whole
    found = describe_intakes([day(0), day(1, notes=1, fibre=2.0)])
    assert (found.noted, found.whole, found.usual["fibre"].amount) == (2, 1, 22.0)


def test_intervals_are_student_s() -> None:
    fibre = [20.0, 24.0, 28.0, 19.0, 23.0, 26.0]
    usual = describe_intakes([day(k, fibre=g) for k, g in enumerate(fibre)]).usual["fibre"]
    mean = sum(fibre) / 6
    sd = (sum((g - mean) ** 2 for g in fibre) / 5) ** 0.5
    low, high = t.interval(0.9, 5, loc=mean, scale=sd / 6**0.5)
    assert (usual.amount, usual.low, usual.high) == pytest.approx((mean, low, high), abs=0.01)


def test_shares_of_energy_are_as_labels_reckon_them() -> None:
    usual = describe_intakes([day(k) for k in range(5)]).usual
    assert usual["carbohydrate"].share == pytest.approx(48.0)
    assert usual["saturated fat"].share == pytest.approx(11.7)


def test_a_line_is_called_missed_or_met_only_where_the_interval_leaves_it_out() -> None:
    efsa, sacn = line("fibre", "EFSA"), line("fibre", "SACN")
    low = describe_intakes([day(k, fibre=14.0 + k % 3) for k in range(8)]).usual["fibre"]
    assert (low.beside(efsa), low.beside(sacn)) == ("below", "below")
    between = describe_intakes([day(k, fibre=27.0 + k % 2) for k in range(8)]).usual["fibre"]
    assert (between.beside(efsa), between.beside(sacn)) == ("met", "below")
    wide = describe_intakes([day(k, fibre=10.0 + 6 * k) for k in range(6)]).usual["fibre"]
    assert wide.beside(efsa) == "near"
    fat = describe_intakes([day(k, saturated_fat=35.0 + k % 2) for k in range(6)]).usual["saturated fat"]
    assert fat.beside(line("saturated fat", "WHO")) == "above"
    few = describe_intakes([day(k, fibre=14.0) for k in range(4)]).usual["fibre"]
    assert few.beside(efsa) == ""


def test_a_nutrient_that_foods_do_not_state_is_not_averaged() -> None:
    holes = [
        Intake(d.day, 3, 12.0, 0, d.amounts, {**d.known, "saturated fat": 0.5}) for d in map(day, range(5))
    ]
    assert "saturated fat" not in describe_intakes(holes).usual


def test_each_line_has_its_source_in_the_references() -> None:
    assert all(one.key in REFERENCES for one in LINES)
