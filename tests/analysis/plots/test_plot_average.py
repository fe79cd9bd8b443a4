"""The pictures of the average day and of two kinds of day, tested on their artists."""

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle, StepPatch
from matplotlib.text import Text

from analysis.columns import READINGS, add_local
from analysis.day import average_day
from analysis.plots.average import (
    DRAWN_MOST,
    Lines,
    alt_average,
    draw_average,
    widths_by_hour,
)
from analysis.plots.style import FAINT, RISE
from tests.simulate import Rise, trace

VIENNA = ZoneInfo("Europe/Vienna")
MONDAY = datetime(2026, 3, 2, tzinfo=VIENNA)
LONG = "Average day of late shifts " * 5
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


def play(n: int, height: float = 1.0, seed: int = 1) -> pd.DataFrame:
    """Play n days of a tram driver: meals later at weekends; every third night lapses until 2:00."""
    rng = random.Random(seed)
    rows = []
    for k in range(n):
        day, rises = MONDAY + timedelta(days=k), []
        for minute, mmol in ((430, 2.4), (760, 3.2), (1120, 3.0)):
            later = 150 if day.weekday() >= 5 and minute < 600 else 0
            at = day + timedelta(minutes=minute + later + rng.gauss(0, 35))
            rises.append(Rise(at, mmol * height * rng.uniform(0.4, 1.4), rng.uniform(30, 55)))
        rows += trace(rises, day, day + timedelta(days=1, minutes=-5), rng)
    frame = pd.DataFrame(rows, columns=["at", "mmol"]).assign(flag="")
    frame = add_local(frame.assign(at=pd.to_datetime(frame["at"], utc=True)).astype(READINGS), VIENNA)
    return frame[(frame["minute"] >= 120) | (frame["day_on"].dt.day % 3 > 0)]


def lines_of(frame: pd.DataFrame) -> Lines:
    return [(day["minute"].to_numpy(), day["mmol"].to_numpy()) for _, day in frame.groupby("day_on")]


def bars_of(axes: Axes) -> list[tuple[float, float, float]]:
    bars = [b for b in axes.findobj(Rectangle) if b.get_width() > 1 and b is not axes.patch]
    return [(b.get_x(), b.get_y(), b.get_y() + b.get_height()) for b in bars]


def test_draws_what_the_analysis_gives(words: Words, check_layout: Check) -> None:
    frame = play(14)
    day = average_day(frame)
    figure = draw_average(day, lines_of(frame), "mmol/L", "Average day, 2 to 15 March")
    check_layout(figure)
    upper, lower = figure.axes
    bins = day.bins["all"]
    assert len(bins) == 96
    assert bars_of(upper) == [pytest.approx((b.minute, b.p25, b.p75)) for b in bins]
    (median,) = [line for line in upper.get_lines() if line.get_color() == RISE and line.get_linewidth() == 7]
    assert median.get_ydata().tolist() == [b.median for b in bins]
    assert median.get_xdata().tolist() == [b.minute + 7.5 for b in bins]
    assert sum(line.get_color() == FAINT for line in upper.get_lines()) == 14
    widths = widths_by_hour(bins)
    assert bars_of(lower) == [pytest.approx((hour + 6, 0, width)) for hour, width in widths.items()]


def test_width_of_an_hour_by_hand() -> None:
    # Five days at 0:00 with 4, 5, 6, 7, 8 and at 0:15 all with 5: quartiles 5 and 7, then 5 and 5.
    at = pd.to_datetime([MONDAY + timedelta(days=k, minutes=m) for k in range(5) for m in (0, 15)], utc=True)
    mmol = [value for k in range(5) for value in (4.0 + k, 5.0)]
    frame = add_local(pd.DataFrame({"at": at, "mmol": mmol, "flag": ""}).astype(READINGS), VIENNA)
    assert widths_by_hour(average_day(frame).bins["all"]) == {0: 1.0}


def test_words_and_unit(words: Words, unit: str) -> None:
    frame = play(14)
    day = average_day(frame)
    said = words(draw_average(day, lines_of(frame), unit, "Average day, 2 to 15 March"))
    assert said[:2] == ["Average day, 2 to 15 March", "14 days"]
    top = max(day.bins["all"], key=lambda b: b.median)
    value = f"{top.median:.1f}" if unit == "mmol/L" else f"{top.median * 18.0182:.0f}"
    assert f"median {value} at {top.minute // 60:02d}:{top.minute % 60:02d}" in said
    for text in (unit, f"width of the middle half, {unit}", "12:00", "24:00"):
        assert text in said
    named = replace(day, widest={"all": 480})
    for one, named_hours in ((named, 1), (replace(day, widest={"all": None}), 0)):
        drawn = words(draw_average(one, lines_of(frame), unit, "Average day, 2 to 15 March"))
        assert sum(text.startswith("widest 08:00–09:00, ") for text in drawn) == named_hours
    assert any(text.startswith("Pale steps: the middle half") for text in said)


@pytest.mark.parametrize(("n", "height"), [(1, 1.0), (2, 7.0), (3, 1.0), (4, 0.1), (30, 6.0), (90, 1.0)])
def test_nothing_collides_or_is_cut_off(n: int, height: float, unit: str, check_layout: Check) -> None:
    frame = play(n, height)
    figure = draw_average(average_day(frame), lines_of(frame), unit, LONG)
    check_layout(figure)
    assert min(text.get_fontsize() for text in figure.findobj(Text) if text.get_text()) >= 36
    assert figure.bbox.width == 1080
    low, high = figure.axes[0].get_ylim()
    assert low < frame["mmol"].min()
    assert frame["mmol"].max() < high


def test_few_days_have_no_middle_half(words: Words) -> None:
    frame = play(3)
    figure = draw_average(average_day(frame), lines_of(frame), "mmol/L", "Average day")
    assert bars_of(figure.axes[0]) == []
    assert "from 4 days on" in words(figure)
    assert "The middle half takes 4 days." in words(figure)


def test_one_reading_is_a_dot(check_layout: Check) -> None:
    frame = play(1).iloc[100:101]
    figure = draw_average(average_day(frame), lines_of(frame), "mmol/L", "Average day")
    (dot,) = [line for line in figure.axes[0].get_lines() if line.get_linewidth() == 7]
    assert dot.get_marker() == "o"
    check_layout(figure)


def test_one_reading_has_no_way_to_go() -> None:
    frame = play(1).iloc[100:101]
    said = alt_average(average_day(frame), lines_of(frame), "mmol/L", "Average day")
    # the reading at 8:20 stands in the quarter of an hour from 8:15 on
    assert f"1 day; the median is {frame['mmol'].iloc[0]:.1f} mmol/L at 08:15;" in said


def test_the_middle_half_has_an_edge_at_its_quartiles() -> None:
    frame = play(14)
    day = average_day(frame)
    (axes, _) = draw_average(day, lines_of(frame), "mmol/L", "Average day").axes
    edges = np.concatenate([np.asarray(patch.get_data().values) for patch in axes.findobj(StepPatch)])
    quartiles = [q for b in day.bins["all"] for q in (b.p25, b.p75) if q is not None]
    assert sorted(edges) == sorted(quartiles)


def test_many_days_are_thinned_and_said_so(words: Words) -> None:
    frame = play(90)
    figure = draw_average(average_day(frame), lines_of(frame), "mmol/L", "Average day")
    assert sum(line.get_color() == FAINT for line in figure.axes[0].get_lines()) == DRAWN_MOST
    assert any("some of the days" in text for text in words(figure))


def test_alt_says_the_same() -> None:
    frame = play(14)
    day = average_day(frame)
    top = max(day.bins["all"], key=lambda b: b.median)
    said = alt_average(day, lines_of(frame), "mmol/L", "Average day")
    assert said.startswith("Average day: 14 days; the median goes from ")
    assert f"to {top.median:.1f} at {top.minute // 60:02d}:{top.minute % 60:02d}" in said
    assert "it varies most " not in said
    sure = replace(day, widest={"all": 480})
    assert "it varies most 08:00–09:00, " in alt_average(sure, lines_of(frame), "mmol/L", "Average day")
    few = alt_average(average_day(play(2)), [], "mmol/L", "Average day")
    assert "no middle half yet, which takes 4 days" in few
