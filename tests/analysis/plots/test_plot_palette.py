"""The palette seen by eyes that see colours differently, and in grey."""

from itertools import combinations

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.text import Text
from numpy.typing import NDArray

from analysis.plots.style import (
    AREA,
    ASLEEP,
    DIP,
    EDGE,
    FAINT,
    FAINT_FIRST,
    FAINT_SECOND,
    HAIRLINE,
    HIGH,
    INK,
    MOVING,
    PAPER,
    PARTS,
    RISE,
    SECOND,
    SOFT_INK,
    SPREAD,
)
from tests.bench.pictures_drawn import KINDS

# Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency",
# IEEE TVCG 15(6), 2009: matrices at severity 1.0, applied to linear RGB. The numbers were read in copies
# (R package prismatic, R/color-blindness.R, and others that agree), not on the authors' page.
SEEN_WITH = {
    "all cones": np.eye(3),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
# sRGB and CIE 1976 L*a*b* with white D65: formulas and constants from memory; test_conversion holds them.
TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)


def linear(color: str) -> NDArray[np.float64]:
    c = np.array(to_rgb(color))
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def lab(rgb: NDArray[np.float64]) -> NDArray[np.float64]:
    t = TO_XYZ @ np.clip(rgb, 0, 1) / (TO_XYZ @ np.ones(3))
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def difference(a: str, b: str, matrix: NDArray[np.float64]) -> float:
    return float(np.linalg.norm(lab(matrix @ linear(a)) - lab(matrix @ linear(b))))


def luminance(color: str) -> float:
    return float(TO_XYZ[1] @ linear(color))


def contrast(a: str, b: str) -> float:
    """WCAG 2 contrast ratio; formula from memory."""
    low, high = sorted([luminance(a), luminance(b)])
    return (high + 0.05) / (low + 0.05)


def test_conversion() -> None:
    # Known from memory: white is L* 100, sRGB red is Lab 53.2, 80.1, 67.2, black on white is 21 to 1.
    assert lab(linear("#ffffff")) == pytest.approx([100, 0, 0], abs=0.01)
    assert lab(linear("#ff0000")) == pytest.approx([53.24, 80.09, 67.20], abs=0.05)
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


def test_simulation_makes_red_and_green_alike() -> None:
    # Otherwise the tests below would not be a test: these two are what most people confuse.
    apart = difference("#c0392b", "#5d7d1a", SEEN_WITH["all cones"])
    for kind in ("protanopia", "deuteranopia"):
        assert difference("#c0392b", "#5d7d1a", SEEN_WITH[kind]) < 0.5 * apart


@pytest.mark.parametrize("kind", SEEN_WITH)
@pytest.mark.parametrize(("a", "b"), list(combinations([*PARTS.values(), PAPER], 2)))
def test_colours_that_meet_stay_apart(kind: str, a: str, b: str) -> None:
    # Two to three is where a difference begins to be seen (common practice, no source); 20 is plain.
    assert difference(a, b, SEEN_WITH[kind]) >= 20


@pytest.mark.parametrize(("a", "b"), list(combinations([RISE, HIGH, DIP, AREA, PAPER], 2)))
def test_parts_differ_in_grey(a: str, b: str) -> None:
    assert abs(lab(linear(a))[0] - lab(linear(b))[0]) >= 9


@pytest.mark.parametrize("kind", SEEN_WITH)
@pytest.mark.parametrize(
    ("a", "b"),
    [
        (RISE, SECOND),  # the two meals of a comparison
        (SECOND, PAPER),
        (RISE, SPREAD),  # the median over the middle half
        (SPREAD, PAPER),
        (MOVING, ASLEEP),  # lanes under a day, which are named, too
        (MOVING, PAPER),
        (ASLEEP, PAPER),
    ],
)
def test_colours_of_days_stay_apart(kind: str, a: str, b: str) -> None:
    assert difference(a, b, SEEN_WITH[kind]) >= 15


@pytest.mark.parametrize(("a", "b"), list(combinations([RISE, SECOND, SPREAD, PAPER], 2)))
def test_days_differ_in_grey(a: str, b: str) -> None:
    assert abs(lab(linear(a))[0] - lab(linear(b))[0]) >= 9


@pytest.mark.parametrize("beside", [FAINT, SPREAD, PAPER, RISE])
def test_the_edge_of_the_middle_half_is_seen_in_grey(beside: str) -> None:
    # its inside is as light as the faint lines of the days behind it
    assert abs(lab(linear(EDGE))[0] - lab(linear(beside))[0]) >= 9


def test_middle_half_stands_out_from_the_faint_lines() -> None:
    assert difference(SPREAD, FAINT, SEEN_WITH["all cones"]) >= 15
    assert contrast(SPREAD, PAPER) > contrast(HAIRLINE, PAPER)


@pytest.mark.parametrize("kind", KINDS)
def test_words_stand_out_from_paper(kind: str) -> None:
    # 4.5 to 1 is what WCAG 2 asks of text of ordinary size (value from memory).
    colors = {str(text.get_color()) for text in KINDS[kind](3.4).findobj(Text) if text.get_text()}
    assert {INK, SOFT_INK} <= colors
    assert min(contrast(color, PAPER) for color in colors) >= 4.5


@pytest.mark.parametrize(
    "color", [INK, SOFT_INK, FAINT, MOVING, ASLEEP, EDGE, SECOND, RISE, HIGH, DIP, FAINT_FIRST, FAINT_SECOND]
)
def test_lines_that_mean_something_stand_out_from_paper(color: str) -> None:
    # 3 to 1 is what WCAG 2.1 asks of graphical objects (1.4.11, value from memory). What is fainter is a
    # fill with an edge of its own (AREA under the curve, SPREAD within EDGE) or a hairline of a scale.
    assert contrast(color, PAPER) >= 3


def test_earlier_servings_are_fainter_than_the_own() -> None:
    assert 2 * contrast(FAINT, PAPER) < contrast(RISE, PAPER)
