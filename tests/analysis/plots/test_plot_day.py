"""The picture of one day, tested on its artists; by the eye it was looked at with the same data."""

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import FancyBboxPatch, Rectangle
from matplotlib.text import Text

from analysis.plots.day import LISTED_MOST, alt_day, choose_meals, draw_day, notes_of
from analysis.plots.peaks import find_peaks
from analysis.plots.style import ASLEEP, MOVING, RISE
from analysis.results import DayTrace
from tests.simulate import Rise, trace

VIENNA = ZoneInfo("Europe/Vienna")
TUESDAY = date(2026, 3, 3)
LONG = "two slices of rye toast with butter, a boiled egg, half an avocado, tomatoes and orange juice"
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]
Meal = tuple[float, str, str, float | None]
MEALS: tuple[Meal, ...] = (
    (275.0, "porridge with oats, milk and a pear", "breakfast", 64.4),
    (575.0, "coffee with milk", "drink", None),
    (760.0, "lentil soup with bread", "lunch", 78.0),
)


def play(
    meals: tuple[Meal, ...], height: float = 3.0, day: date = TUESDAY, step: int = 1
) -> tuple[np.ndarray, np.ndarray]:
    start = datetime(day.year, day.month, day.day, tzinfo=VIENNA)
    rises = [Rise(start + timedelta(minutes=m[0]), height, 40) for m in meals]
    rows = trace(rises, start, start + timedelta(minutes=1435), random.Random(day.day))[::step]
    minutes = [(at - start) / timedelta(minutes=1) for at, _ in rows]
    return np.array(minutes), np.array([mmol for _, mmol in rows]).round(1)


@pytest.fixture
def usual() -> DayTrace:
    minutes, mmol = play(MEALS)
    kept = (minutes < 20) | (minutes > 130)
    return DayTrace(
        TUESDAY,
        minutes[kept],
        mmol[kept],
        MEALS,
        activities=((310.0, 15.0, "walk"), (900.0, 45.0, "bike ride")),
        sleeps=((0.0, 240.0), (1320.0, 1440.0)),
        syncs=(250.0, 720.0),
        gaps=((20.0, 130.0, "lapsed memory"),),
        sensor_changes=(840.0,),
    )


def test_names_what_the_day_held(usual: DayTrace, words: Words, check_layout: Check) -> None:
    figure = draw_day(usual, "mmol/L", VIENNA)
    said = words(figure)
    top, low = (end(usual.mmol.tolist()) for end in (max, min))
    assert said[:2] == ["Tuesday 3 March", f"{low:.1f} to {top:.1f} mmol/L · 3 meals"]
    minute = int(usual.minutes[usual.mmol.argmax()])
    assert f"{top:.1f} at {minute // 60:02d}:{minute % 60:02d}" in said
    for text in ("mmol/L", "7.8 reference", "00:00", "12:00", "24:00", "walk 15 min", "bike ride 45 min"):
        assert text in said
    for text in ("moved", "slept", "syncs", "evenness", "04:35", "64", "78", "–", *(m[1] for m in MEALS)):
        assert text in said
    assert "No readings 00:20–02:10 (lapsed memory)" in said
    assert "New sensor at 14:00" in said
    check_layout(figure)


def test_speaks_the_persons_unit(usual: DayTrace, words: Words) -> None:
    said = words(draw_day(usual, "mg/dL", VIENNA))
    assert "mg/dL" in said
    assert "140 reference" in said
    assert not any("mmol" in text for text in said)


def test_draws_the_readings_and_not_over_gaps(usual: DayTrace) -> None:
    (axes,) = draw_day(usual, "mmol/L", VIENNA).axes
    (line,) = [line for line in axes.get_lines() if line.get_color() == RISE and line.get_linewidth() == 6]
    values = line.get_ydata()
    assert np.isnan(values).sum() == 1
    assert values[~np.isnan(values)].tolist() == usual.mmol.tolist()
    assert axes.get_xlim() == (0, 1440)
    (hatched,) = [patch for patch in axes.findobj(Rectangle) if patch.get_hatch()]
    assert (hatched.get_x(), hatched.get_x() + hatched.get_width()) == (20, 130)


def test_bars_lie_where_they_were(usual: DayTrace) -> None:
    figure = draw_day(usual, "mmol/L", VIENNA)
    (axes,) = figure.axes

    def spans(color: str) -> list[tuple[float, float]]:
        rgb = tuple(int(color[i : i + 2], 16) / 255 for i in (1, 3, 5))
        bars = [b for b in figure.findobj(FancyBboxPatch) if b.get_facecolor()[:3] == pytest.approx(rgb)]
        boxes = [b.get_window_extent() for b in bars]
        back = axes.transData.inverted().transform
        return [(back((b.x0, 0))[0], back((b.x1, 0))[0]) for b in boxes]

    assert spans(ASLEEP) == [pytest.approx(s, abs=1) for s in usual.sleeps]
    assert spans(MOVING) == [pytest.approx(s, abs=1) for s in ((310, 325), (900, 945))]


def test_many_meals_are_chosen_by_need() -> None:
    scores = [None, *np.random.default_rng(1).permutation(30).tolist()]
    meals = tuple((20.0 * i, f"meal {i}", "snack", score) for i, score in enumerate(scores))
    chosen = choose_meals(meals)
    assert sorted(m[3] for m in chosen if m[3] is not None) == list(range(LISTED_MOST))
    assert [m[0] for m in chosen] == sorted(m[0] for m in chosen)
    assert choose_meals(meals[:3]) == list(meals[:3])


@pytest.mark.parametrize("seed", range(12))
def test_forty_meals_and_all_the_rest(seed: int, unit: str, words: Words, check_layout: Check) -> None:
    rng = random.Random(seed)
    names = (LONG[:80], "白米饭和鸡肉" * 13, "خبز مع زبدة " * 6, "🍕", "x" * 80, "soup")
    times = sorted(rng.sample(range(1440), 40))
    meals = tuple(
        (float(t), rng.choice(names), "snack", rng.choice([None, rng.uniform(0, 100)])) for t in times
    )
    minutes, mmol = play(meals, rng.choice([0.3, 2.0, 12.0]), step=rng.choice([1, 3]))
    moves = tuple(
        (rng.uniform(0, 1439), rng.choice([0.0, 5, 200]), "brisk walk around the block")
        for _ in range(rng.randrange(12))
    )
    gaps = tuple((t, t + rng.uniform(10, 200), "not known") for t in (100.0, 400.0, 700.0, 1000.0, 1200.0))
    day = DayTrace(
        TUESDAY,
        minutes,
        mmol.clip(2.2, 30),
        meals,
        moves,
        sleeps=((0.0, 300.0), (800.0, 801.0)),
        syncs=tuple(float(t) for t in range(0, 1440, 45)),
        gaps=gaps[: rng.randrange(6)],
        sensor_changes=(rng.uniform(0, 1440),),
    )
    figure = draw_day(day, unit, VIENNA)
    check_layout(figure)
    assert "and 28 more" in words(figure)
    sizes = [text.get_fontsize() for text in figure.findobj(Text) if text.get_text()]
    assert min(sizes) >= 36  # 12 px on a screen 360 px wide
    assert figure.bbox.width == 1080
    (axes,) = figure.axes
    assert axes.get_ylim()[0] < day.mmol.min()
    assert day.mmol.max() < axes.get_ylim()[1]


@pytest.mark.parametrize(
    ("minutes", "numbers"),
    [
        ((430.0, 760.0, 1120.0), ["1", "2", "3"]),
        ((430.0, 445.0, 450.0, 1120.0), ["1–3", "4"]),
        ((0.0, 30.0, 60.0, 90.0), ["1–4"]),
        ((), []),
    ],
)
def test_meals_close_together_share_their_numbers(
    minutes: tuple[float, ...], numbers: list[str], check_layout: Check
) -> None:
    meals = tuple((minute, "soup", "lunch", None) for minute in minutes)
    figure = draw_day(DayTrace(TUESDAY, np.empty(0), np.empty(0), meals), "mmol/L", VIENNA)
    written = [t for t in figure.findobj(Text) if t.get_text().replace("–", "").isdigit()]
    under = [t.get_text() for t in written if t.get_horizontalalignment() == "center"]
    assert under == numbers
    check_layout(figure)


def test_movement_without_room_keeps_its_bars(words: Words, check_layout: Check) -> None:
    moves = tuple((60.0 * i, 30.0, "brisk walk around the block") for i in range(20))
    figure = draw_day(DayTrace(TUESDAY, np.empty(0), np.empty(0), activities=moves), "mmol/L", VIENNA)
    assert len(figure.findobj(FancyBboxPatch)) == 20
    assert not any("brisk" in said for said in words(figure))
    check_layout(figure)


def test_one_reading_and_none(words: Words, check_layout: Check, unit: str) -> None:
    one = DayTrace(TUESDAY, np.array([500.0]), np.array([6.1]), ((480.0, "🍕", "lunch", None),))
    said = words(draw_day(one, unit, VIENNA))
    assert ("6.1 at 08:20" if unit == "mmol/L" else "110 at 08:20") in said
    assert "Lunch" in said
    check_layout(draw_day(one, unit, VIENNA))
    nothing = DayTrace(TUESDAY, np.empty(0), np.empty(0))
    said = words(draw_day(nothing, unit, VIENNA))
    assert "no readings · 0 meals" in said
    assert "evenness" not in said
    check_layout(draw_day(nothing, unit, VIENNA))


def test_readings_without_a_number_break_the_line() -> None:
    minutes, mmol = play(MEALS)
    mmol[100] = np.nan
    (axes,) = draw_day(DayTrace(TUESDAY, minutes, mmol), "mmol/L", VIENNA).axes
    line = next(line for line in axes.get_lines() if line.get_linewidth() == 6)
    assert np.flatnonzero(np.isnan(line.get_ydata())).tolist() == [100]
    assert np.isfinite(axes.get_ylim()).all()


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2026, 3, 29), ["The clocks went forward by 60 min on this day"]),
        (date(2026, 10, 25), ["The clocks went back by 60 min on this day"]),
        (date(2026, 3, 3), []),
    ],
)
def test_changes_of_the_clocks_are_told(day: date, said: list[str]) -> None:
    # Summer time in the EU begins on the last Sunday of March and ends on that of October.
    assert notes_of(DayTrace(day, np.empty(0), np.empty(0)), VIENNA) == said


def test_above_the_reference_is_filled(usual: DayTrace) -> None:
    high = DayTrace(TUESDAY, np.arange(0.0, 100, 5), np.full(20, 9.8))
    (axes,) = draw_day(high, "mmol/L", VIENNA).axes
    (x, y) = axes.findobj(PolyCollection)[0].get_paths()[0].vertices.T
    filled = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
    assert filled == pytest.approx(2.0 * 95)


def test_alt_says_the_same(usual: DayTrace) -> None:
    said = alt_day(usual, "mmol/L", VIENNA)
    for part in (
        "Tuesday 3 March: ",
        "04:35 porridge with oats, milk and a pear, evenness 64; 09:35 coffee with milk; 12:40 lentil soup",
        "Moved: 05:10 walk 15 min; 15:00 bike ride 45 min.",
        "Slept: 00:00–04:00, 22:00–24:00.",
        "Syncs: 04:10, 12:00.",
        "No readings 00:20–02:10 (lapsed memory).",
    ):
        assert part in said


def test_few_meals_are_named_at_their_peaks(usual: DayTrace, words: Words) -> None:
    said = words(draw_day(usual, "mmol/L", VIENNA))
    assert {"porridge", "coffee", "lentil soup"} <= set(said)
    many = replace(usual, meals=tuple((200.0 * k, f"food {k} with rice", "lunch", None) for k in range(6)))
    assert not any(
        text.startswith("food") and "with" not in text for text in words(draw_day(many, "mmol/L", VIENNA))
    )


def test_peaks_by_hand() -> None:
    minutes = np.arange(0.0, 600.0, 60.0)
    mmol = np.array([5.0, 6.0, 8.0, 7.0, 9.0, 5.0, 5.0, 5.0, 5.0, 5.0])
    meals = tuple((at, "soup", "lunch", None) for at in (60.0, 180.0, 900.0))
    peaks = find_peaks(DayTrace(TUESDAY, minutes, mmol, meals))
    # the first meal's two hours end with the second's first bite; the last meal has no readings
    assert peaks == [(120.0, 8.0), (240.0, 9.0), None]


def test_out_of_range_is_an_arrow(usual: DayTrace, words: Words, check_layout: Check) -> None:
    beyond = (*((float(t), "high limit") for t in range(600, 640, 5)), (900.0, "low limit"))
    kept = (usual.minutes < 600) | (usual.minutes > 640)
    day = replace(usual, minutes=usual.minutes[kept], mmol=usual.mmol[kept], limits=beyond)
    figure = draw_day(day, "mmol/L", VIENNA)
    check_layout(figure)
    marks = [line.get_marker() for line in figure.findobj(Line2D) if line.get_marker() in ("^", "v")]
    assert sorted(marks) == ["^", "v"]
    assert "LO to HI mmol/L · 3 meals" in words(figure)
    assert "Out of the sensor's range: HI 10:00–10:35, LO 15:00" in words(figure)
    (line,) = [
        one for one in figure.axes[0].get_lines() if one.get_color() == RISE and one.get_linewidth() == 6
    ]
    assert np.isnan(line.get_ydata()).sum() == 2 + 1  # over the gap of the night, over HI, and at LO
    alone = DayTrace(TUESDAY, np.empty(0), np.empty(0), limits=((600.0, "low limit"),))
    assert "LO · 0 meals" in words(draw_day(alone, "mmol/L", VIENNA))


def test_what_was_pressed_is_drawn_and_said(usual: DayTrace, words: Words) -> None:
    day = replace(usual, pressed=((150.0, 2.9), (155.0, 2.8)))
    figure = draw_day(day, "mmol/L", VIENNA)
    assert figure.axes[0].get_ylim()[0] < 2.8
    assert any(text.startswith("Small dots 02:30–02:35: left out, you seem") for text in words(figure))


def test_a_day_without_readings_says_so(words: Words, check_layout: Check) -> None:
    figure = draw_day(DayTrace(TUESDAY, np.empty(0), np.empty(0), MEALS), "mmol/L", VIENNA)
    check_layout(figure)
    assert "No readings of this day" in words(figure)
