"""The picture of a trial, tested on its artists."""

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.curves import WINDOW_MIN
from analysis.plots.style import HIGH, INK, PAPER, RISE, SECOND
from analysis.plots.trial import SCALE_LEFT, SCALE_RIGHT, alt_trial, draw_trial
from analysis.trials.verdict import judge
from tests.bench.conclusions_trials import agreed, trial

Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]
HEAD = "A walk after porridge: no telling yet."
CASES = {  # world, CV, effect, pairs
    "no pair": ("gamma", 0.3, 0.0, 0),
    "one pair": ("gamma", 0.3, 0.0, 1),
    "before the first look": ("gamma", 0.3, 0.0, 5),
    "before there is a bound": ("gamma", 0.3, 0.0, 7),
    "clear": ("gamma", 0.25, -0.4, 14),
    "no difference": ("gamma", 0.05, 0.0, 14),
    "negative areas": ("adds", 0.6, 0.0, 12),
}


def about(name: str, unit: str = "mmol/L", head: str = HEAD) -> tuple:  # type: ignore[type-arg]
    world, cv, effect, n = CASES[name]
    areas = [(float(a), float(b)) for a, b in trial(np.random.default_rng(5), world, cv, effect)[:n]]
    return judge(agreed(), areas), areas, agreed().order, 14, unit, head


@pytest.mark.parametrize("name", CASES)
def test_layout(name: str, unit: str, check_layout: Check) -> None:
    check_layout(draw_trial(*about(name, unit)))


def test_long_words_stay_on_the_page(check_layout: Check) -> None:
    check_layout(draw_trial(*about("clear", head="Porridge with oats, milk, a pear and walnuts " * 6)))


def test_each_pair_is_a_line_between_its_servings() -> None:
    verdict, areas, order, *more = about("before there is a bound")
    figure = draw_trial(verdict, areas, order, *more)
    marks = [line for line in figure.findobj(Line2D) if line.get_marker() == "o"]
    rows: dict[float, dict[str, Line2D]] = {}
    for mark in marks:
        rows.setdefault(float(mark.get_ydata()[0]), {})[mark.get_markeredgecolor()] = mark
    pairs = [row for _, row in sorted(rows.items()) if set(row) == {RISE, SECOND}][:7]
    assert len(pairs) == len(areas) == 7
    ends = np.array([[float(row[color].get_xdata()[0]) for color in (RISE, SECOND)] for row in pairs])
    slope, _ = np.polyfit(np.ravel(areas), ends.ravel(), 1)
    assert np.corrcoef(np.ravel(areas), ends.ravel())[0, 1] == pytest.approx(1.0)
    assert slope > 0
    for row, first in zip(pairs, order, strict=False):
        ring = row[(RISE, SECOND)[first]]
        assert ring.get_markerfacecolor() == PAPER, "what was eaten first is a ring"
        assert row[(SECOND, RISE)[first]].get_markerfacecolor() != PAPER


def test_bounds_and_range_lie_where_they_are() -> None:
    verdict, *more = about("clear")
    figure = draw_trial(verdict, *more)
    bounds = [line for line in figure.findobj(Line2D) if line.get_color() == HIGH]
    assert len(bounds) == 2
    at = sorted(float(line.get_xdata()[0]) for line in bounds)
    zero = (SCALE_LEFT + SCALE_RIGHT) / 2
    assert zero - at[0] == pytest.approx(at[1] - zero)
    assert verdict.bound is not None
    per = (at[1] - zero) / verdict.bound
    (spread,) = (
        line for line in figure.findobj(Line2D) if line.get_color() == INK and line.get_linewidth() == 8
    )
    assert [(float(x) - zero) / per for x in spread.get_xdata()] == pytest.approx(
        [verdict.difference.low, verdict.difference.high]
    )


def test_before_the_first_look_no_difference_is_shown(words: Words) -> None:
    said = words(draw_trial(*about("before the first look")))
    assert "I first look at the difference after pair 6." in said
    assert not any("likely" in one for one in said)
    assert "likely" not in alt_trial(*about("before the first look"))


def test_pairs_after_the_decision_are_not_drawn(words: Words) -> None:
    verdict, areas, *more = about("clear")
    assert verdict.pairs < len(areas)
    assert f"pair {verdict.pairs}" in words(draw_trial(verdict, areas, *more))
    assert f"pair {verdict.pairs + 1}" not in words(draw_trial(verdict, areas, *more))


def test_words_for_those_who_cannot_see_it(unit: str) -> None:
    verdict, areas, *more = about("clear", unit)
    said = alt_trial(verdict, areas, *more)
    per = 1 / WINDOW_MIN * (18.0182 if unit == "mg/dL" else 1)
    assert f"1: {per * areas[0][0]:.{0 if unit == 'mg/dL' else 1}f} and" in said
    assert "The bound for clear lies at" in said
    assert said.count(";") >= verdict.pairs - 1
