"""The picture of fasting glucose over a run, tested on its artists."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.text import Text

from analysis.fasting import Fasting, FastingDay
from analysis.plots.fasting import alt_fasting, draw_fasting, span_of_days
from analysis.plots.style import HIGH, INK, RISE
from analysis.trend import find_slope

FIRST = date(2026, 3, 2)
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


def build(
    n: int, slope: float = 0.0, sd: float = 0.25, change: int = 14, skip: int = 0, base: float = 5.0
) -> Fasting:
    """Build n days of one sensor after the other (each `change` days), with one day in `skip` left out."""
    rng = np.random.default_rng(n)
    values, left_out = [], {}
    for k in range(n):
        day = FIRST + timedelta(days=k)
        mmol = base + slope * k / 7 + float(rng.normal(0, sd))
        if skip and k % skip == skip - 1:
            left_out[day] = "nothing was eaten"
            continue
        at = datetime(day.year, day.month, day.day, 5, tzinfo=UTC)
        values.append(FastingDay(day, mmol, 6, at, "first meal", k // change))
    mmol = np.array([v.mmol for v in values])
    days = np.array([v.day_on.toordinal() for v in values])
    return Fasting(
        tuple(values),
        float(mmol.mean()),
        float(mmol.std(ddof=1)),
        find_slope(days, mmol, [v.sensor for v in values]),
        left_out,
        tuple(b.day_on for a, b in pairwise(values) if a.sensor != b.sensor),
    )


def test_days_without_a_value_count_where_their_ticks_are(words: Words) -> None:
    fasting = build(28, skip=9)
    after = fasting.values[-1].day_on + timedelta(days=1)
    more = replace(fasting, left_out={**fasting.left_out, after: "nothing was eaten"})
    for one in (fasting, more):
        assert "Small ticks: 3 more days with meals, without a value." in words(draw_fasting(one, "mmol/L"))


def test_draws_days_and_each_sensors_mean(words: Words, check_layout: Check) -> None:
    fasting = build(28, slope=0.1, skip=9)
    figure = draw_fasting(fasting, "mmol/L")
    check_layout(figure)
    (axes,) = figure.axes
    dots = [line for line in axes.get_lines() if line.get_marker() == "o" and line.get_color() == INK]
    assert np.concatenate([line.get_ydata() for line in dots]).tolist() == [v.mmol for v in fasting.values]
    lines = [line for line in axes.get_lines() if line.get_color() == RISE]
    levels = fasting.slope.levels
    assert [line.get_ydata()[0] for line in lines] == [level.mean for level in levels]
    bands = [c.get_paths()[0].vertices[:, 1] for c in axes.findobj(PolyCollection)]
    assert [(b.min(), b.max()) for b in bands] == [(level.low, level.high) for level in levels]


def test_words(words: Words) -> None:
    fasting = build(28, slope=0.1, skip=9)
    assert fasting.trend is not None
    said = words(draw_fasting(fasting, "mmol/L"))
    assert said[:2] == ["Fasting glucose", "25 days, 2 to 29 March"]
    assert f"{fasting.mean_mmol:.1f} mmol/L" in said
    assert f"{fasting.trend.estimate:+.2f} mmol/L".replace("-", "−") in said
    for text in (
        "2 Mar",
        "9 Mar",
        "new sensor",
        "Band: where each sensor's mean likely lies.",
    ):
        assert text in said
    assert "Small ticks: 3 more days with meals, without a value." in said


def test_speaks_the_persons_unit(words: Words) -> None:
    fasting = build(10, change=99)
    assert fasting.trend is not None
    said = words(draw_fasting(fasting, "mg/dL"))
    assert f"{fasting.mean_mmol * 18.0182:.0f} mg/dL" in said
    assert f"{fasting.trend.estimate * 18.0182:+.1f} mg/dL".replace("-", "−") in said
    assert not any("mmol" in text or "sensor" in text for text in said)


def test_no_change_is_said_only_within_the_interval(words: Words) -> None:
    flat, steep = build(28), build(14, slope=0.8, sd=0.1)
    assert flat.trend is not None
    assert steep.trend is not None
    assert flat.trend.low < 0 < flat.trend.high
    assert steep.trend.low > 0
    assert "No trend at all would fit it, too." in words(draw_fasting(flat, "mmol/L"))
    assert "No trend at all would fit it, too." not in words(draw_fasting(steep, "mmol/L"))


@pytest.mark.parametrize(
    "fasting",
    [
        build(3),
        build(4, sd=0.0),
        build(7, base=29.0, sd=0.5),
        build(10, slope=3, sd=6, change=5, base=18),
        build(60, skip=4),
        build(400, slope=0.02, skip=9),
    ],
    ids=lambda f: f"{f.days} days",
)
def test_nothing_collides_or_is_cut_off(fasting: Fasting, unit: str, check_layout: Check) -> None:
    figure = draw_fasting(fasting, unit)
    check_layout(figure)
    assert min(text.get_fontsize() for text in figure.findobj(Text) if text.get_text()) >= 36
    assert figure.bbox.width == 1080
    (axes,) = figure.axes
    low, high = axes.get_ylim()
    assert all(low < v.mmol < high for v in fasting.values)
    assert high - low >= 3.0 - 1e-9
    assert axes.get_xlim()[0] < fasting.values[0].day_on.toordinal()
    assert axes.get_xlim()[1] > fasting.values[-1].day_on.toordinal()


def test_too_few_days_for_a_trend(words: Words) -> None:
    assert "3 of 7 days so far" in words(draw_fasting(build(3), "mmol/L"))


def test_small_changes_look_small() -> None:
    low, high = span_of_days(build(5, sd=0.01))
    assert high - low == pytest.approx(3.0)


def test_years_are_named_where_there_are_two(words: Words) -> None:
    assert "356 days, 2 Mar 2026 to 5 Apr 2027" in words(draw_fasting(build(400, skip=9), "mmol/L"))


def test_alt_says_the_same() -> None:
    fasting = build(28, slope=0.1, skip=9)
    said = alt_fasting(fasting, "mmol/L")
    lowest = min(v.mmol for v in fasting.values)
    assert said.startswith("Fasting glucose: mean ")
    assert f"25 days, 2 to 29 March, from {lowest:.1f} to " in said
    assert "trend a week " in said
    assert "likely " in said
    assert "Small ticks: 3 more days" in said


def test_no_reference_that_is_not_for_fasting(words: Words) -> None:
    """7.8 mmol/L two hours after a meal is no line for fasting, even where the days reach it."""
    figure = draw_fasting(build(14, base=7.8), "mmol/L")
    assert not any(line.get_color() == HIGH for line in figure.axes[0].get_lines())
    assert not any("reference" in text for text in words(figure))
