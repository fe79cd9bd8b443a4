"""The picture of one meal, tested on its artists; by the eye it was looked at with the same data."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import FancyBboxPatch
from matplotlib.text import Text

from analysis.columns import ACTIVITIES, MEALS, READINGS
from analysis.plots.curve import alt_curve, draw_curve
from analysis.plots.style import (
    AREA,
    FAINT,
    HIGH,
    INK,
    MARGIN_PX,
    MOVING,
    PAPER,
    PARTS,
    RISE,
    SOFT_INK,
    WIDTH_PX,
)
from analysis.points import whole_points
from analysis.results import Serving
from analysis.servings import build_servings

VIENNA = ZoneInfo("Europe/Vienna")
LONG = "two slices of rye toast with butter, a boiled egg, half an avocado, tomatoes and orange juice"
Make = Callable[..., Serving]
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


def test_names_meal_moment_and_values(hump: Make, words: Words) -> None:
    serving = hump()
    said = words(draw_curve(serving, [], "mmol/L", VIENNA))
    curve, evenness = serving.curve, serving.evenness
    assert curve is not None
    assert evenness is not None
    assert said[0] == "porridge with oats, milk and a pear"
    assert "Mon 2 March, 07:10 · 62 g carbs" in said
    for text in ("start 5.1 ± 0.1", "peak 8.5 at 40 min", "5.7 at 2 h", "7.8 reference", "mmol/L"):
        assert text in said
    for text in (
        "minutes from the first bite",
        "0",
        "120",
        f"Evenness {evenness.score:.0f}",
        "100 = flat line",
        "07:10",
    ):
        assert text in said
    assert any(text.startswith(f"likely {evenness.low:.0f}–{evenness.high:.0f}, ") for text in said)
    lost = [int(text.split("−")[1]) for text in said if "−" in text]
    assert sum(lost) == 100 - round(evenness.score)


def _blocks(figure: Figure) -> list[tuple[float, float, tuple[float, float, float]]]:
    """Return the stretches of the bar: from, to (in points), colour."""
    px = (WIDTH_PX - 2 * MARGIN_PX) / 100
    found = []
    for fill in figure.axes[-1].findobj(PolyCollection):
        x = fill.get_paths()[0].vertices[:, 0]
        found.append(((x.min() - MARGIN_PX) / px, (x.max() - MARGIN_PX) / px, fill.get_facecolor()[0][:3]))
    return sorted(found)


@pytest.mark.parametrize("rise", [0.6, 2.2, 3.6, 20.0])
def test_bar_adds_up_by_eye(hump: Make, rise: float, check_layout: Check) -> None:
    serving = hump(rise=rise)
    figure = draw_curve(serving, [], "mmol/L", VIENNA)
    assert serving.evenness is not None
    whole = {part: n for part, n in whole_points(serving.evenness).items() if n}
    blocks = _blocks(figure)
    kept, *lost = blocks
    assert tuple(kept[2]) == pytest.approx(_rgb(INK))
    assert kept[0] == pytest.approx(0, abs=0.3)
    assert kept[1] == pytest.approx(round(serving.evenness.score), abs=0.3)
    for (start, end, color), (part, points) in zip(lost, whole.items(), strict=True):
        assert end - start == pytest.approx(points, abs=0.6)
        assert tuple(color) == pytest.approx(_rgb(PARTS[part]))
    assert blocks[-1][1] == pytest.approx(100, abs=0.3)
    check_layout(figure)


def test_range_and_earlier_scores_are_above_the_bar(hump: Make, words: Words, check_layout: Check) -> None:
    earlier = [hump(rise=1.0), hump(rise=3.0, activities=((20.0, 15.0, "walk"),))]
    serving = hump()
    figure = draw_curve(serving, earlier, "mmol/L", VIENNA)
    page = figure.axes[-1]
    px = (WIDTH_PX - 2 * MARGIN_PX) / 100
    lines = [line for line in page.get_lines() if len(line.get_xdata()) == 2]
    at = {tuple(round((x - MARGIN_PX) / px, 3) for x in line.get_xdata()): line.get_color() for line in lines}
    assert serving.evenness is not None
    assert (round(serving.evenness.low, 3), round(serving.evenness.high, 3)) in at
    for other, color in zip(earlier, (SOFT_INK, MOVING), strict=True):
        assert other.evenness is not None
        assert at[(round(other.evenness.score, 3),) * 2] == color
    assert "earlier servings" in words(figure)
    check_layout(figure)


def test_many_earlier_scores_are_named_too(hump: Make, check_layout: Check) -> None:
    earlier = [hump(rise=0.1 + 0.1 * k) for k in range(50)]
    check_layout(draw_curve(hump(), earlier, "mmol/L", VIENNA))


def test_time_above_is_a_stretch_on_the_reference_line(hump: Make) -> None:
    serving = hump()
    axes, *_ = draw_curve(serving, [], "mmol/L", VIENNA).axes
    (thick,) = (line for line in axes.get_lines() if line.get_color() == HIGH and line.get_linewidth() == 14)
    minutes = thick.get_xdata()[np.isfinite(thick.get_ydata())]
    assert serving.curve is not None
    assert np.ptp(minutes) == pytest.approx(serving.curve.minutes_over_7_8, abs=0.6)
    assert set(thick.get_ydata()[np.isfinite(thick.get_ydata())]) == {7.8}


def test_a_dip_that_costs_points_is_a_drop(serve: Make, words: Words, check_layout: Check) -> None:
    minutes = np.arange(-30.0, 151, 5)
    for depth, drops in ((2.6, 1), (0.8, 0)):
        mmol = 5.3 - depth * np.exp(-(((minutes - 110) / 18) ** 2))
        serving = serve(minutes, mmol)
        assert serving.curve is not None
        figure = draw_curve(serving, [], "mmol/L", VIENNA)
        marks = [line for line in figure.axes[0].get_lines() if line.get_marker() == "v"]
        assert len(marks) == drops
        for mark in marks:
            assert mark.get_xdata()[0] == serving.curve.dip_at_min
            assert mark.get_ydata()[0] == pytest.approx(serving.curve.baseline_mmol - serving.curve.dip_mmol)
            assert "dip to 2.7" in words(figure)
        check_layout(figure)


def test_speaks_the_persons_unit(hump: Make, words: Words) -> None:
    said = words(draw_curve(hump(), [], "mg/dL", VIENNA))
    # 5.1, 8.5 and 7.8 mmol/L times 18.0182; the reference line is published as 140.
    for text in ("start 92 ± 2", "peak 153 at 40 min", "140 reference", "mg/dL"):
        assert text in said
    assert any(text.startswith("above 140 −") for text in said)
    assert not any("mmol" in text or "7.8" in text for text in said)


def test_unknown_unit_is_an_error(hump: Make) -> None:
    with pytest.raises(ValueError, match="mmol/L or mg/dL"):
        draw_curve(hump(), [], "g/L", VIENNA)


def test_draws_the_readings_and_the_area(hump: Make) -> None:
    serving = hump()
    figure = draw_curve(serving, [], "mmol/L", VIENNA)
    axes, *_ = figure.axes
    own = [line for line in axes.get_lines() if line.get_color() == RISE and line.get_linewidth() == 8]
    assert np.array_equal(own[0].get_xdata(), serving.minutes)
    assert np.array_equal(own[0].get_ydata(), serving.mmol)
    fills = {c.get_facecolor().tobytes(): c for c in axes.findobj(PolyCollection)}
    assert len(fills) == 2  # the area, and the band of the start
    # The shaded polygon has the area that the analysis gives (shoelace formula), in mmol/L·min.
    (x, y) = axes.findobj(PolyCollection)[0].get_paths()[0].vertices.T
    shaded = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
    assert serving.curve is not None
    assert shaded == pytest.approx(serving.curve.area_2h, rel=1e-3)


def test_long_gap_is_not_bridged(serve: Make, hump: Make) -> None:
    whole = hump()
    kept = (whole.minutes < 50) | (whole.minutes > 80)
    serving = serve(whole.minutes[kept], whole.mmol[kept])
    axes, *_ = draw_curve(serving, [], "mmol/L", VIENNA).axes
    solid = next(line for line in axes.get_lines() if line.get_linewidth() == 8)
    assert np.isnan(solid.get_ydata()).sum() == 1


@pytest.mark.parametrize("count", [2, 3, 30])
def test_nothing_is_drawn_through_a_reading_beyond_the_limits(count: int, serve: Make) -> None:
    """Neither the line nor its dots over gaps: the sensor was read, and glucose was elsewhere."""
    minutes = 5.0 * np.arange(count)
    serving = serve(minutes, 5 + 0 * minutes, limits=tuple(minutes[:-1] + 2.5))
    axes, *_ = draw_curve(serving, [], "mmol/L", VIENNA).axes
    own = [line for line in axes.get_lines() if line.get_color() == RISE and len(line.get_ydata()) >= count]
    assert len(own) == 2
    for line in own:
        assert np.isnan(line.get_ydata()[1::2]).all()
        assert len(line.get_ydata()) == 2 * count - 1


def test_readings_out_of_range_are_arrows_and_dips_are_dots(
    hump: Make, words: Words, check_layout: Check
) -> None:
    serving = hump(
        limits=(140.0, 145.0, -20.0, 900.0),
        limit_kinds=("high limit", "high limit", "low limit", "low limit"),
        pressed=((-30.0, 3.1), (-25.0, 2.9), (-700.0, 2.5)),
    )
    figure = draw_curve(serving, [], "mmol/L", VIENNA)
    check_layout(figure)
    said = words(figure)
    assert {"HI at 140–145 min", "LO at -20 min"} <= set(said)
    marks = [line.get_marker() for line in figure.findobj(Line2D)]
    assert marks.count("^") == 1
    assert "Small dots: left out, you seem to have lain on the sensor" in said
    assert "Out of the sensor's range: LO at -20 min, HI at 140–145 min" in said
    plain = words(draw_curve(hump(), [], "mmol/L", VIENNA))
    assert not any("Small dots" in row or "range" in row for row in plain)


def test_movement_is_a_band_under_the_curve(hump: Make, words: Words) -> None:
    serving = hump(activities=((55.0, 10.0, "walk"), (100.0, 0.0, "stairs")))
    figure = draw_curve(serving, [], "mmol/L", VIENNA)
    assert {"walk 10 min", "stairs"} <= set(words(figure))
    axes, *_ = figure.axes
    bars = [
        bar
        for bar in figure.findobj(FancyBboxPatch)
        if bar.get_facecolor()[:3] == pytest.approx(_rgb(MOVING))
    ]
    box = bars[0].get_window_extent()
    left, right = (axes.transData.transform((minute, 5))[0] for minute in (55, 65))
    assert (box.x0, box.x1) == pytest.approx((left, right), abs=1)
    assert box.y1 < axes.bbox.y0


def test_many_movements_stay_three_lanes(hump: Make, words: Words, check_layout: Check) -> None:
    moves = tuple((10.0 * i, 15.0, f"walk number {i}") for i in range(7))
    figure = draw_curve(hump(activities=moves), [], "mmol/L", VIENNA)
    assert "walk number 2 15 min, and 4 more" in words(figure)
    check_layout(figure)


@pytest.mark.parametrize("n", [1, 2, 3, 4, 45])
def test_few_earlier_servings_are_lines_and_more_a_median_with_a_band(
    n: int, hump: Make, words: Words, check_layout: Check
) -> None:
    earlier = [hump(rise=1 + i / 20) for i in range(n)]
    figure = draw_curve(hump(), earlier, "mmol/L", VIENNA)
    text = f"{n} earlier serving{'s' if n > 1 else ''}"
    assert text in words(figure)
    assert f"Behind it, {text}." in alt_curve(hump(), earlier, "mmol/L", VIENNA)
    faint = [line for line in figure.axes[0].get_lines() if line.get_color() == FAINT]
    tops = [line.get_ydata().max() for line in faint if line.get_linewidth() > 2]
    values = np.vstack([serving.mmol for serving in earlier])
    assert tops == pytest.approx(values.max(axis=1) if n <= 3 else [np.median(values, axis=0).max()])
    bands = figure.axes[0].findobj(PolyCollection)
    assert len(bands) == (2 if n <= 3 else 3)
    if n > 3:
        assert bands[0].get_paths()[0].vertices[:, 1].max() == pytest.approx(
            np.percentile(values, 75, axis=0).max()
        )
    check_layout(figure)
    nothing = draw_curve(hump(), [], "mmol/L", VIENNA)
    assert not any("earlier" in said for said in words(nothing))


@pytest.mark.parametrize(
    ("what", "said"),
    [(("walk",) * 2, "2 earlier, with a walk"), (("walk", "stairs"), "2 earlier, with movement")],
)
def test_earlier_servings_with_a_walk_are_apart(
    hump: Make, words: Words, check_layout: Check, what: tuple[str, str], said: str
) -> None:
    walked = [hump(rise=1.5, activities=((30.0, 15.0, each),)) for each in what]
    long_before = hump(rise=3.0, activities=((-90.0, 15.0, "walk"),))
    figure = draw_curve(hump(), [*walked, long_before], "mmol/L", VIENNA)
    dashed = [line for line in figure.axes[0].get_lines() if line.get_color() == MOVING]
    assert len(dashed) == 2
    assert all(line.is_dashed() for line in dashed)
    assert {said, "1 earlier serving"} <= set(words(figure))
    check_layout(figure)


def test_an_extreme_earlier_serving_does_not_flatten_the_own(hump: Make, check_layout: Check) -> None:
    figure = draw_curve(hump(rise=2.0), [hump(rise=24)], "mmol/L", VIENNA)
    axes, *_ = figure.axes
    assert axes.get_ylim()[1] < 12
    assert sum(line.get_marker() == "^" for line in axes.get_lines()) == 1
    check_layout(figure)
    own = draw_curve(hump(rise=24), [hump(rise=2.0)] * 3, "mmol/L", VIENNA)
    assert own.axes[0].get_ylim()[1] > 29
    assert not any(line.get_marker() == "^" for line in own.axes[0].get_lines())


def test_without_a_score_the_reason_stands_there(serve: Make, words: Words, check_layout: Check) -> None:
    figure = draw_curve(serve([40], [8.5]), [], "mmol/L", VIENNA)
    said = words(figure)
    assert "No score for this one." in said
    assert "8.5 at 40 min" in said
    assert not any("Evenness" in text for text in said)
    check_layout(figure)


def test_without_readings(serve: Make, words: Words, check_layout: Check, unit: str) -> None:
    figure = draw_curve(serve([], []), [], unit, VIENNA)
    assert "No score for this one." in words(figure)
    check_layout(figure)
    axes, *_ = figure.axes
    assert axes.get_xlim()[0] <= 0
    assert axes.get_xlim()[1] >= 120


def test_flat_line_names_no_peak(serve: Make, words: Words, check_layout: Check) -> None:
    minutes = list(range(-30, 151, 5))
    figure = draw_curve(serve(minutes, [5.2] * len(minutes)), [], "mmol/L", VIENNA)
    said = words(figure)
    assert {"start 5.2 ± 0.1", "5.2 at 2 h", "Evenness 100", "nothing lost"} <= set(said)
    assert not any(text.startswith("peak") for text in said)
    check_layout(figure)


@pytest.mark.parametrize(
    "title", [LONG, "x" * 80, "白米饭和鸡肉" * 14, "خبز مع زبدة " * 7, "🍕", "$y_2$ \\pi"]
)
def test_any_title_fits(title: str, hump: Make, check_layout: Check) -> None:
    check_layout(draw_curve(hump(title=title), [], "mmol/L", VIENNA))


def test_flags_are_all_written(serve: Make, words: Words, check_layout: Check) -> None:
    serving = serve([0, 30, 60, 90, 120], [5.0, 7.4, 8.1, 7.0, 5.9])
    assert serving.curve is not None
    flags = (*serving.curve.flags, "last meal 75 min before, its rise taken off", "the sensor's first day")
    serving = replace(serving, curve=replace(serving.curve, flags=flags))
    figure = draw_curve(serving, [], "mmol/L", VIENNA)
    assert f"Note: {', '.join(flags)}" in " ".join(words(figure))
    check_layout(figure)


def test_start_has_a_band_as_wide_as_its_error(hump: Make) -> None:
    serving = hump()
    axes, *_ = draw_curve(serving, [], "mmol/L", VIENNA).axes
    band = axes.findobj(PolyCollection)[-1].get_paths()[0].vertices[:, 1]
    assert serving.curve is not None
    # One sample is off by 0.24 (analysis.baseline); four readings lie in the quarter hour: 0.24/√4.
    assert band.max() - serving.curve.baseline_mmol == pytest.approx(0.12)
    assert serving.curve.baseline_mmol - band.min() == pytest.approx(0.12)


def test_own_repeats_are_named(hump: Make, words: Words) -> None:
    serving = hump()
    assert serving.evenness is not None
    own = replace(serving, evenness=replace(serving.evenness, band_from="own repeats"))
    assert any("by your own servings" in said for said in words(draw_curve(own, [], "mmol/L", VIENNA)))
    assert "by your own servings" in alt_curve(own, [], "mmol/L", VIENNA)


def test_finger_pricks_are_rings(hump: Make, words: Words, check_layout: Check) -> None:
    pricks = ((-10.0, 5.4), (35.0, 12.6), (400.0, 5.2))
    serving = replace(hump(), pricks=pricks)
    figure = draw_curve(serving, [], "mmol/L", VIENNA)
    axes, *_ = figure.axes
    rings = [line for line in axes.get_lines() if line.get_markerfacecolor() == PAPER]
    assert [(ring.get_xdata()[0], ring.get_ydata()[0]) for ring in rings] == list(pricks[:2])
    assert axes.get_ylim()[1] > 12.6
    assert "Rings: finger-pricks, not part of the curve" in words(figure)
    assert "Finger-pricks: 5.4 at -10 min, 12.6 at 35 min." in alt_curve(serving, [], "mmol/L", VIENNA)
    check_layout(figure)
    assert not any("Rings" in said for said in words(draw_curve(hump(), [], "mmol/L", VIENNA)))


def test_two_meals_close_together_are_shaded_apart(words: Words, check_layout: Check) -> None:
    bite, later = datetime(2026, 3, 2, 6, 10, tzinfo=UTC), 75.0
    minutes = np.arange(-90.0, 400.0, 5.0)
    share = [np.clip(minutes - start, 0, None) / 35 for start in (0.0, later)]
    mmol = 5.0 + sum(3.0 * s**2 * np.exp(2 * (1 - s)) for s in share)
    at = [bite + timedelta(minutes=m) for m in minutes]
    readings = pd.DataFrame({"at": pd.to_datetime(at, utc=True), "mmol": mmol, "flag": ""}).astype(READINGS)
    rows = [
        (1, bite, "lunch", "rice", "a", 60.0),
        (2, bite + timedelta(minutes=later), "snack", "cake", "b", 40.0),
    ]
    meals = pd.DataFrame(rows, columns=list(MEALS)).astype(MEALS)
    servings = build_servings(meals, readings, pd.DataFrame(columns=list(ACTIVITIES)).astype(ACTIVITIES))
    for serving in servings:
        assert serving.curve is not None
        assert serving.curve.variant == "iAUC, separated"
        figure = draw_curve(serving, [], "mmol/L", VIENNA)
        (x, y) = figure.axes[0].findobj(PolyCollection)[0].get_paths()[0].vertices.T
        shaded = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
        assert shaded == pytest.approx(serving.curve.area_2h, rel=2e-3)
        assert "Dashed: without the other meal. The score is of it" in words(figure)
        check_layout(figure)
        solid = next(line for line in figure.axes[0].get_lines() if line.get_linewidth() == 8)
        assert (
            np.nanmax(solid.get_ydata())
            == serving.mmol[(serving.minutes >= -30) & (serving.minutes <= 150)].max()
        )


def test_labels_do_not_read_as_one(hump: Make, serve: Make) -> None:
    # The reference and the value at two hours, which once stood in one block: both near 7.8 at 120 min.
    minutes = np.arange(-30.0, 151, 5)
    flat = 5.6 + np.clip(minutes, 0, 60) / 60 * 1.8
    figure = draw_curve(serve(list(minutes), list(flat)), [], "mmol/L", VIENNA)
    renderer = FigureCanvasAgg(figure).get_renderer()
    named = [t for t in figure.findobj(Text) if t.get_text().startswith(("7.8 reference", "7.4 at 2 h"))]
    a, b = (t.get_window_extent(renderer) for t in named)
    assert max(a.x0 - b.x1, b.x0 - a.x1, a.y0 - b.y1, b.y0 - a.y1) >= 8


@pytest.mark.parametrize("base", [3.9, 4.1, 5.9, 6.1])
def test_start_does_not_stand_beside_a_value_of_the_scale(base: float, hump: Make) -> None:
    figure = draw_curve(hump(base=base), [], "mmol/L", VIENNA)
    renderer = FigureCanvasAgg(figure).get_renderer()
    texts = [t for t in figure.findobj(Text) if t.get_text()]
    (start,) = (t.get_window_extent(renderer) for t in texts if t.get_text().startswith("start"))
    scale = [t.get_window_extent(renderer) for t in texts if t.get_text() in {"4", "6", "8"}]
    assert len(scale) == 3
    for value in scale:
        same_row = value.y0 + 8 < start.y1 and start.y0 < value.y1 - 8
        assert not same_row or start.x0 - value.x1 >= 24


def random_curve(seed: int, serve: Make) -> Serving:
    """Any shape a sensor could give: slow or sharp, deep dips, up to 30 mmol/L, gaps, any spacing."""
    rng = np.random.default_rng(seed)
    step = rng.choice([1, 5, 15, 30])
    minutes = np.arange(-30 if rng.random() < 0.8 else 0, rng.choice([120, 150, 240]) + 1, step).astype(float)
    share = np.clip(minutes, 0, None) / rng.uniform(12, 110)
    height = rng.choice([0.0, 0.4, 2.0, 5.0, 12.0, 25.0]) * rng.choice([1, 1, 1, -0.1])
    mmol = rng.uniform(3.2, 8.5) + height * share**2 * np.exp(2 * (1 - share))
    mmol += rng.normal(0, rng.choice([0, 0.1, 0.5]), mmol.size).cumsum() * 0.5
    mmol = mmol.clip(2.2, 30.0).round(1)
    kept = np.ones(minutes.size, dtype=bool)
    if rng.random() < 0.3:
        kept[rng.integers(minutes.size) :][:6] = False
    moves = tuple(
        (float(rng.uniform(-60, 150)), float(rng.uniform(0, 90)), "brisk walk")
        for _ in range(rng.integers(4))
    )
    return serve(minutes[kept], mmol[kept], activities=moves, title=LONG[: rng.integers(3, 93)])


@pytest.mark.parametrize("seed", range(40))
def test_nothing_collides_or_is_cut_off(seed: int, serve: Make, check_layout: Check) -> None:
    serving = random_curve(seed, serve)
    earlier = [random_curve(1000 + 10 * seed + i, serve) for i in range(seed % 4)]
    figure = draw_curve(serving, earlier, "mmol/L" if seed % 2 else "mg/dL", VIENNA)
    check_layout(figure)
    assert min(text.get_fontsize() for text in figure.findobj(Text) if text.get_text()) >= 34
    assert figure.bbox.width == 1080
    axes, *_ = figure.axes
    low, high = axes.get_ylim()
    inside = (serving.minutes >= -30) & (serving.minutes <= 150)
    assert ((serving.mmol[inside] > low) & (serving.mmol[inside] < high)).all()


def test_looks_like_paper(hump: Make) -> None:
    figure = draw_curve(hump(rise=4), [], "mmol/L", VIENNA)
    assert figure.get_facecolor()[:3] == pytest.approx(_rgb(PAPER))
    fills = [tuple(c.get_facecolor()[0][:3]) for c in figure.axes[0].findobj(PolyCollection)]
    assert fills == [pytest.approx(_rgb(color)) for color in (AREA, INK)]


def test_alt_says_the_same(hump: Make, serve: Make) -> None:
    serving = hump(activities=((55.0, 10.0, "walk"),))
    said = alt_curve(serving, [hump(at=serving.at - timedelta(days=2))], "mg/dL", VIENNA)
    assert said.startswith("Evenness 34 of 100 (likely ")
    for part in (
        ": rise −20, area −39, above 140 −7, dip 0. porridge with oats, milk and a pear. "
        "Mon 2 March, 07:10 · 62 g carbs.",
        "starts at 92 mg/dL, peaks at 153 after 40 min",
        "Movement: walk 10 min.",
        "Earlier servings scored 34. Behind it, 1 earlier serving.",
    ):
        assert part in said
    assert alt_curve(serve([], []), [], "mmol/L", VIENNA).startswith("No score for this one. ")


def _rgb(color: str) -> tuple[float, float, float]:
    return tuple(int(color[i : i + 2], 16) / 255 for i in (1, 3, 5))  # type: ignore[return-value]
