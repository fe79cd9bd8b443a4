"""A lever's with and without, tested on its artists."""

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.habits.seen import Said, Seen
from analysis.plots.lever import alt_lever, draw_lever
from analysis.plots.style import INK, PAPER

Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]
WALK = Said(
    "A walk", "A walk after the meal (usually 15 min): about 22 % less rise", -22.0, -31.0, -12.0, True
)
OPEN = Said("Vinegar", "Vinegar: not known yet", -5.0, -31.0, 24.0, False)


def meals(n: int, level: float, seed: int = 1) -> np.ndarray:
    return level * np.random.default_rng(seed).gamma(16, 1 / 16, n)


@pytest.mark.parametrize(("on", "off"), [(1, 1), (5, 9), (30, 60), (300, 700)])
@pytest.mark.parametrize("said", [WALK, OPEN])
def test_nothing_collides(on: int, off: int, said: Said, check_layout: Check) -> None:
    check_layout(draw_lever(Seen(meals(on, 78.0), meals(off, 100.0)), said))


def test_a_long_name_and_meals_beyond_the_scale(check_layout: Check, words: Words) -> None:
    said = Said(
        "x",
        "Fat beside carbohydrate (usually 6 g for 10 g) and a lot of other words: not known yet",
        90,
        -99,
        400,
        False,
    )
    seen = Seen(np.array([-50.0, 80.0]), np.array([100.0, 950.0]))
    figure = draw_lever(seen, said)
    check_layout(figure)
    assert "At the ends: 2 meals beyond the scale." in words(figure)
    assert "2 meals beyond the scale" in alt_lever(seen, said)


def test_what_is_not_told_apart_has_a_hollow_dot() -> None:
    for said, face in ((WALK, INK), (OPEN, PAPER)):
        figure = draw_lever(Seen(meals(9, 80.0), meals(9, 100.0)), said)
        dots = [
            line
            for line in figure.findobj(Line2D)
            if line.get_marker() == "o" and line.get_markeredgecolor() == INK
        ]
        assert [dot.get_markerfacecolor() for dot in dots] == [face]


def test_each_meal_is_a_dot_and_the_words_say_the_same() -> None:
    seen = Seen(np.array([50.0, 60.0, 70.0, 80.0, 90.0]), np.array([90.0, 100.0, 110.0]))
    figure = draw_lever(seen, WALK)
    dots = [line for line in figure.findobj(Line2D) if line.get_marker() == "o"]
    assert len(dots) == 5 + 3 + 1
    alt = alt_lever(seen, WALK)
    assert alt.startswith(
        "A walk after the meal (usually 15 min): about 22 % less rise. Each meal's two hours"
    )
    assert "with it 5 meals, half of them from 60 to 80 %" in alt
    assert "it comes to 78 % (likely 69 to 88 %)" in alt
