import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.points import whole_points
from analysis.results import Evenness
from analysis.units import MGDL_PER_MMOL, per_mmol, write_glucose


@pytest.mark.parametrize(("mmol", "mgdl"), [(5.5499, 100), (7.8, 140.54), (11.1, 200.00), (3.9, 70.27)])
def test_conversion(mmol: float, mgdl: float) -> None:
    # Pairs computed with the factor 18.0182 (molar mass 180.182 g/mol).
    assert mmol * MGDL_PER_MMOL == pytest.approx(mgdl, abs=0.01)


def test_writes_glucose_as_people_do() -> None:
    assert write_glucose(5.55, "mg/dL") == "100"
    assert write_glucose(8.96, "mmol/L") == "9.0"
    with pytest.raises(ValueError, match="not in 'g/L'"):
        per_mmol("g/L")


parts = st.lists(st.floats(0, 25), min_size=4, max_size=4)


@given(parts)
def test_whole_points_add_up_and_stay_close(points: list[float]) -> None:
    lost = dict(zip(("rise", "area", "high", "dip"), points, strict=True))
    score = 100 - sum(points)
    whole = whole_points(Evenness(score, lost, 0, 100))
    assert sum(whole.values()) == 100 - round(score)
    assert all(abs(whole[part] - lost[part]) < 1 for part in lost)
    assert list(whole) == list(lost)
