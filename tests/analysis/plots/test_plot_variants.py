"""The versions of a staple on one axis, tested on their artists."""

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.plots.scale import DOT_PX
from analysis.plots.style import PAPER
from analysis.plots.variants import MOST_ROWS, alt_variants, draw_variants
from analysis.variants.effects import judge_variants
from tests.simulated.staples import World, live

Check = Callable[[Figure], None]
LONG = "soaked rolled oats with a very long name instead of oats, + 15 g walnuts, no walk after"


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("label", ["- banana", LONG])
def test_nothing_collides(seed: int, label: str, unit: str, check_layout: Check) -> None:
    rows, _ = live(np.random.default_rng(seed), World(cv=0.2), 60)
    judged = judge_variants(rows)[0]
    area = np.array([row.area for row in rows])
    scores = [[70.0] * len(one.version.rows) if k else [] for k, one in enumerate(judged.versions)]
    words = ("Breakfast: " + label, "Beyond chance: " + label, [label] * len(judged.versions))
    figure = draw_variants(judged, area, scores, words, unit)
    check_layout(figure)
    drawn = [
        one for one in figure.findobj(Line2D) if one.get_marker() == "o" and one.get_markersize() == DOT_PX
    ]
    alt = alt_variants(judged, scores, words, unit)
    shown = alt.count("likely")
    assert len(drawn) == shown
    assert alt.count(";") == min(len(judged.versions), MOST_ROWS) - 1
    filled = sum(one.get_markerfacecolor() != PAPER for one in drawn)
    assert filled <= sum(one.told for one in judged.versions)
    assert f" {unit}, likely" in alt
