"""The picture that compares two meals, tested on its artists."""

from collections.abc import Callable
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.text import Text
from scipy import stats

from analysis.arms import compare_arms
from analysis.plots.compare import DRAWN_MOST, FAINT_COLORS, alt_compare, draw_compare, mean_of
from analysis.plots.difference import (
    SCORES_LEFT,
    SCORES_RIGHT,
    Judged,
    levels_of,
    write_difference,
)
from analysis.plots.style import INK, PAPER, RISE, SECOND
from analysis.results import Serving

VIENNA = ZoneInfo("Europe/Vienna")
NAMES = ("porridge with a walk", "porridge without a walk")
LONG = "two slices of rye toast with butter, a boiled egg, half an avocado, tomatoes and orange juice"
Make = Callable[..., Serving]
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


@pytest.fixture
def some(hump: Make, serve: Make) -> Callable[..., list[Serving]]:
    def build(n: int, rise: float, seed: int = 1) -> list[Serving]:
        rng = np.random.default_rng(seed)
        servings = []
        for k in range(n):
            one = hump(rise=rise * rng.uniform(0.7, 1.3), top=rng.uniform(30, 55), base=rng.uniform(4.6, 5.4))
            mmol = (one.mmol + rng.normal(0, 0.1, one.mmol.size)).round(1)
            servings.append(serve(list(one.minutes), list(mmol), at=one.at + timedelta(days=2 * k)))
        return servings

    return build


def test_means_and_bands_by_scipy(some: Callable[..., list[Serving]]) -> None:
    servings = some(5, 3.0)
    minutes, mmol, half = mean_of(servings)
    assert minutes.tolist() == list(range(-30, 151, 5))
    values = np.vstack([s.mmol for s in servings])
    assert mmol == pytest.approx(values.mean(axis=0))
    low, high = stats.t.interval(0.9, 4, values.mean(axis=0), stats.sem(values, axis=0))
    assert half == pytest.approx((high - low) / 2, rel=1e-3)  # the table of t has three decimals


def test_draws_means_bands_and_each_serving(some: Callable[..., list[Serving]], words: Words) -> None:
    a, b = some(4, 1.8), some(3, 3.4, 2)
    figure = draw_compare(a, b, NAMES, "mmol/L", VIENNA)
    axes = _curves(figure)
    for side, color, faint in zip((a, b), (RISE, SECOND), FAINT_COLORS, strict=True):
        (mean,) = [
            line for line in axes.get_lines() if line.get_color() == color and line.get_linewidth() == 9
        ]
        assert mean.get_ydata() == pytest.approx(mean_of(side)[1])
        assert sum(line.get_color() == faint for line in axes.get_lines()) == len(side)
    bands = axes.findobj(PolyCollection)
    assert len(bands) == 2
    _, mmol, half = mean_of(a)
    assert bands[0].get_paths()[0].vertices[:, 1].max() == pytest.approx((mmol + half).max())
    said = words(figure)
    for text in (
        *NAMES,
        "4 servings, 2 to 8 March",
        "3 servings, 2 to 6 March",
        "minutes from the first bite",
    ):
        assert text in said
    assert "Bands: where the mean of many servings likely lies (90 %)." in said
    assert "No verdict yet: 4 and 3 scored servings; it takes 6 of each." in " ".join(said)
    six = words(draw_compare(some(6, 1.8), some(6, 3.4, 2), NAMES, "mmol/L", VIENNA))
    assert not any("verdict" in text for text in six)


def test_table_holds_means(hump: Make, words: Words) -> None:
    a, b = [hump(rise=2.0), hump(rise=4.0)], [hump(rise=1.0)]
    said = words(draw_compare(a, b, NAMES, "mmol/L", VIENNA))
    row = said.index("rise, mmol/L")
    assert said[row + 1 : row + 3] == ["3.0", "1.0"]
    row = said.index("evenness")
    scores = [s.evenness.score for s in a if s.evenness]
    assert said[row + 1] == f"{sum(scores) / 2:.0f}"
    said = words(draw_compare(a, b, NAMES, "mg/dL", VIENNA))
    assert said[said.index("rise, mg/dL") + 1] == "54"  # 3.0 times 18.0182
    assert {"140 reference", "above 140, min"} <= set(said)


@pytest.mark.parametrize(("n", "m"), [(1, 1), (2, 5), (0, 3), (0, 0)])
def test_few_give_no_verdict(
    n: int, m: int, some: Callable[..., list[Serving]], words: Words, check_layout: Check
) -> None:
    figure = draw_compare(some(n, 2), some(m, 3), NAMES, "mmol/L", VIENNA)
    check_layout(figure)
    said = " ".join(words(figure))
    assert f"No verdict yet: {n} and {m} scored serving" in said
    paths = [path for c in _curves(figure).findobj(PolyCollection) for path in c.get_paths()]
    assert len(paths) == (n >= 3) + (m >= 3)
    assert ("Bands" in said) == (max(n, m) >= 3)
    assert "it takes 6 of each" in alt_compare(some(n, 2), some(m, 3), NAMES, "mmol/L", VIENNA)


def test_many_servings_are_thinned_and_said_so(some: Callable[..., list[Serving]], words: Words) -> None:
    a, b = some(DRAWN_MOST + 9, 2.0), some(6, 3.0)
    figure = draw_compare(a, b, NAMES, "mmol/L", VIENNA)
    faint = [line.get_color() for line in _curves(figure).get_lines()]
    assert [faint.count(color) for color in FAINT_COLORS] == [DRAWN_MOST, 6]
    assert "Thick lines: the means. Thin lines: some of the servings." in words(figure)
    assert f"{DRAWN_MOST + 9} servings" in " ".join(words(figure))


def test_no_line_over_a_gap_and_none_beyond_readings(serve: Make) -> None:
    gapped = serve([-10, 0, 30, 90, 120], [5.0, 5.0, 7.0, 6.0, 5.0])
    minutes, mmol, half = mean_of([gapped])
    assert np.isnan(mmol[(minutes > 30) & (minutes < 90)]).all()
    assert np.isnan(mmol[(minutes < -10) | (minutes > 120)]).all()
    assert mmol[minutes == 15] == pytest.approx(6.0)
    assert np.isnan(half).all()


def test_mean_needs_half_of_the_servings(serve: Make) -> None:
    short = serve([0, 30, 60], [5.0, 6.0, 7.0])
    long = serve([0, 30, 60, 90], [7.0, 8.0, 9.0, 9.0])
    minutes, mmol, _ = mean_of([short, short, short, long])
    assert mmol[minutes == 60] == pytest.approx(7.5)
    assert np.isnan(mmol[minutes == 90])


@pytest.mark.parametrize("seed", range(8))
def test_nothing_collides_or_is_cut_off(
    seed: int, some: Callable[..., list[Serving]], serve: Make, unit: str, check_layout: Check
) -> None:
    names = [LONG[:80], "x" * 80, "白米饭和鸡肉" * 13, "خبز مع زبدة", "🍕", "rice"]
    a = [*some(1 + seed, [0.2, 3, 24][seed % 3], seed), serve([], [])]
    b = [*some(seed % 4, [6, 0.5][seed % 2], 100 + seed), serve([40], [8.8])]
    figure = draw_compare(a, b, (names[seed % 6], names[(seed + 1) % 6]), unit, VIENNA)
    check_layout(figure)
    assert min(text.get_fontsize() for text in figure.findobj(Text) if text.get_text()) >= 36
    assert figure.bbox.width == 1080
    means = [mean_of(side)[1] for side in (a, b)]
    assert _curves(figure).get_ylim()[1] > max(np.nanmax(m, initial=0.0) for m in means)


def test_names_that_cannot_be_drawn(some: Callable[..., list[Serving]], words: Words) -> None:
    said = words(draw_compare(some(1, 2), some(1, 3), ("🍕", "\U00013000"), "mmol/L", VIENNA))
    assert {"the first", "the second"} <= set(said)


def judge(
    a: list[Serving], b: list[Serving], verdict: str = "No clear difference.", differ: bool = False
) -> Judged:
    arms = compare_arms(a, b, [[s.at.date().toordinal() for s in side] for side in (a, b)])
    return Judged(arms, verdict, differ)


@pytest.mark.parametrize("differ", [True, False])
@pytest.mark.parametrize(("rise_a", "rise_b"), [(1.0, 4.0), (4.0, 1.0), (2.0, 2.0)])
def test_the_difference_stands_first_against_zero(
    some: Callable[..., list[Serving]],
    words: Words,
    check_layout: Check,
    rise_a: float,
    rise_b: float,
    differ: bool,
) -> None:
    a, b = some(6, rise_a), some(7, rise_b, 2)
    judged = judge(a, b, differ=differ)
    figure = draw_compare(a, b, NAMES, "mmol/L", VIENNA, judged)
    check_layout(figure)
    said = words(figure)
    assert said[0] == "No clear difference."
    assert f":  {write_difference(judged.arms)}" in said
    page = next(axes for axes in figure.axes if axes is not _curves(figure))
    (dot,) = (
        line for line in page.get_lines() if line.get_markeredgecolor() == INK and line.get_marker() == "o"
    )
    assert dot.get_markerfacecolor() == (INK if differ else PAPER)
    assert ("Hollow dot above: not told apart." in said) != differ
    (zero,) = (line for line in page.get_lines() if line.get_linewidth() == 5 and line.get_marker() == "None")
    (likely,) = (line for line in page.get_lines() if line.get_linewidth() == 8)
    per_point = (likely.get_xdata()[1] - likely.get_xdata()[0]) / (judged.arms.high - judged.arms.low)
    for x, points in (
        (dot.get_xdata()[0], judged.arms.difference),
        (likely.get_xdata()[0], judged.arms.low),
        (likely.get_xdata()[1], judged.arms.high),
    ):
        assert x - zero.get_xdata()[0] == pytest.approx(points * per_point)
    # above everything else that is measured
    assert _curves(figure).get_window_extent().y1 < figure.bbox.height - dot.get_ydata()[0]


def test_a_dot_for_each_serving_by_side(some: Callable[..., list[Serving]], serve: Make) -> None:
    a, b = [*some(5, 2.0), serve([], [])], some(9, 3.0, 2)
    figure = draw_compare(a, b, NAMES, "mmol/L", VIENNA)
    (page,) = (axes for axes in figure.axes if axes is not _curves(figure))
    for side, color in ((a, RISE), (b, SECOND)):
        dots = [
            line.get_xdata()[0]
            for line in page.get_lines()
            if line.get_marker() == "o" and line.get_markeredgecolor() == color
        ]
        scores = [s.evenness.score for s in side if s.evenness]
        x = SCORES_LEFT + np.array(scores) / 100 * (SCORES_RIGHT - SCORES_LEFT)
        assert sorted(dots) == pytest.approx(sorted(x))


def test_dots_of_like_scores_do_not_hide_one_another() -> None:
    levels = levels_of([70.0] * 4 + [90.0], 7.0)
    assert sorted(levels[:4]) == [0, 1, 2, 3]
    assert levels[4] == 0
    assert len(levels_of([50.0] * 40, 7.0)) == 40


@pytest.mark.parametrize("rise", [0.0, 1.8, 20.0])
def test_nothing_collides_with_a_difference(
    some: Callable[..., list[Serving]], unit: str, check_layout: Check, rise: float
) -> None:
    a, b = some(8, rise), some(26, rise, 2)
    verdict = "No verdict yet; I judge at 12 servings each: looking every time finds what is not there."
    for names in ((LONG, "x" * 80), ("白米饭和鸡肉", "🍕"), ("a", "b")):
        figure = draw_compare(a, b, names, unit, VIENNA, judge(a, b, verdict))
        check_layout(figure)
        assert min(text.get_fontsize() for text in figure.findobj(Text) if text.get_text()) >= 36


def test_one_extreme_serving_flattens_no_other(some: Callable[..., list[Serving]], hump: Make) -> None:
    a, b = some(5, 2.0), [*some(5, 2.0, 2), hump(rise=25)]
    axes = _curves(draw_compare(a, b, NAMES, "mmol/L", VIENNA))
    assert axes.get_ylim()[1] < 13
    assert sum(line.get_marker() == "^" for line in axes.get_lines()) == 1


def test_alt_leads_with_the_answer(some: Callable[..., list[Serving]]) -> None:
    a, b = some(6, 1.0), some(6, 4.0, 2)
    judged = judge(a, b, "Porridge with a walk is the more even: more than chance does.")
    said = alt_compare(a, b, NAMES, "mmol/L", VIENNA, judged)
    assert said.startswith(
        "Porridge with a walk is the more even: more than chance does. porridge without a walk minus "
        f"porridge with a walk: {write_difference(judged.arms)} points of evenness. "
    )
    many = some(30, 1.0)
    scores = [s.evenness.score for s in many if s.evenness]
    assert f"scored from {min(scores):.0f} to {max(scores):.0f}." in alt_compare(
        many, b, NAMES, "mmol/L", VIENNA
    )


def test_alt_says_the_same(some: Callable[..., list[Serving]], serve: Make) -> None:
    a, b = [*some(3, 2), serve([], [])], some(3, 4)
    said = alt_compare(a, b, NAMES, "mmol/L", VIENNA)
    assert said.startswith(
        "No verdict yet: 3 and 3 scored servings; it takes 6 of each. "
        "porridge with a walk (4 servings, 2 to 6 March, 1 without readings) against "
        "porridge without a walk (3 servings, 2 to 6 March). porridge with a walk scored "
    )
    assert "Means: evenness " in said
    assert "Bands: where the mean of many servings likely lies (90 %)." in said


def _curves(figure: Figure) -> Axes:
    """Return the field that the curves are in: that one with a scale of glucose."""
    return next(axes for axes in figure.axes if axes.get_ylim()[1] < 100 and axes.get_xlim()[0] < 0)
