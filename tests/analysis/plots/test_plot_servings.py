"""All servings of one food on one scale, tested on their artists."""

from collections.abc import Callable
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.plots.servings import DRAWN_MOST, alt_servings, draw_servings, span_of_servings
from analysis.plots.style import RISE
from analysis.portions import Portion
from analysis.results import Serving

VIENNA = ZoneInfo("Europe/Vienna")
LONG = "two slices of rye toast with butter, a boiled egg, half an avocado, tomatoes and orange juice 🥣"
Make = Callable[..., Serving]
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


def portions_of(hump: Make, n: int) -> list[Portion]:
    found = []
    for k in range(n):
        one = hump(rise=1.0 + k % 7)
        found.append(
            Portion(hump(rise=1.0 + k % 7, at=one.at + timedelta(days=k)), 80.0 - 5 * k if k != 1 else None)
        )
    return found


def curves_of(figure: Figure) -> list[Line2D]:
    lines = figure.findobj(Line2D)
    return [line for line in lines if line.get_color() == RISE and line.get_linewidth() == 6]


@pytest.mark.parametrize("n", [1, 2, 5, 12, 40])
@pytest.mark.parametrize("name", ["oats", LONG, "🍕"])
def test_nothing_collides(
    n: int, name: str, unit: str, hump: Make, check_layout: Check, words: Words
) -> None:
    figure = draw_servings(portions_of(hump, n), name, name, unit, VIENNA)
    check_layout(figure)
    curves = [
        line for line in figure.findobj(Line2D) if line.get_color() == RISE and line.get_linewidth() == 6
    ]
    assert len(curves) == min(n, DRAWN_MOST)
    assert any(f"{DRAWN_MOST} of {n} are drawn" in text for text in words(figure)) == (n > DRAWN_MOST)


def test_from_the_smallest_portion_on(hump: Make, words: Words) -> None:
    portions = portions_of(hump, 4)
    said = [
        text
        for text in words(draw_servings(portions, "oats", "porridge", "mmol/L", VIENNA))
        if "g oats" in text
    ]
    assert said[1:] == ["65 g oats", "70 g oats", "80 g oats"]
    assert said[0].startswith("4 servings: 65 to 80 g oats, evenness ")
    alt = alt_servings(portions, "oats", "porridge", "mmol/L", VIENNA)
    assert alt.startswith("Porridge, 4 servings: 65 to 80 g oats, evenness ")
    assert alt.index("65 g oats, ev") < alt.index("70 g oats") < alt.index("portion not known")


def test_without_a_score(serve: Make, check_layout: Check) -> None:
    few = [Portion(serve([0, 30], [5.0, 6.0]), None), Portion(serve([0], [5.0]), 40.0)]
    check_layout(draw_servings(few, "oats", "oats", "mmol/L", VIENNA))
    assert "no score yet" in alt_servings(few, "oats", "oats", "mmol/L", VIENNA)


def test_all_on_one_scale_and_an_extreme_is_cut(hump: Make) -> None:
    usual = [Portion(hump(rise=3.0), 40.0 + k) for k in range(4)]
    low, top = span_of_servings(usual)
    assert (low, top) == (3.5, 10.4)
    extreme = [*usual, Portion(hump(rise=16.0), 90.0)]
    assert span_of_servings(extreme)[1] == pytest.approx(1.5 * 8.1)
    figure = draw_servings(extreme, "oats", "oats", "mmol/L", VIENNA)
    arrows = [line for line in figure.findobj(Line2D) if line.get_marker() == "^"]
    assert len(arrows) == 1
    lines = [
        line for line in figure.findobj(Line2D) if line.get_color() == RISE and line.get_linewidth() == 6
    ]
    heights = [np.ptp(line.get_ydata()) for line in lines]
    # 3.0 mmol/L of a scale of 3.5 to 12.15, 210 px high
    assert heights[0] == pytest.approx(3.0 / (1.5 * 8.1 - 3.5) * 210, rel=0.01)
    assert heights[-1] == pytest.approx((1.5 * 8.1 - 5.1) / (1.5 * 8.1 - 3.5) * 210, rel=0.01)
