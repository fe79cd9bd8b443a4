"""The dark rendering: nothing light is left in it, and it can be read."""

from itertools import combinations

import pytest
from matplotlib.colors import to_hex, to_rgba_array
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.text import Text

from analysis.plots import style
from analysis.plots.dark import DARK, PAPER, darken, find_dark
from tests.analysis.plots.test_plot_palette import SEEN_WITH, contrast, difference
from tests.bench.pictures_drawn import KINDS

LINES = (
    style.INK,
    style.SOFT_INK,
    style.RISE,
    style.SECOND,
    style.HIGH,
    style.EDGE,
    style.MOVING,
    style.ASLEEP,
    style.FAINT,
    style.FAINT_FIRST,
    style.FAINT_SECOND,
    style.DIP,
)
WORDS = (style.INK, style.SOFT_INK, style.RISE, style.SECOND, style.HIGH, style.MOVING)


def colors_of(figure: Figure) -> set[str]:
    found: set[str] = set()
    for artist in figure.findobj(include_self=False):
        if isinstance(artist, Text | Line2D):
            found.add(to_hex(artist.get_color()))
        elif isinstance(artist, Patch):
            face = to_rgba_array(artist.get_facecolor())
            found |= {to_hex(row[:3]) for row in face if row[3] > 0}
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_no_light_colour_is_left(kind: str) -> None:
    figure = KINDS[kind](3.4)
    before = colors_of(figure)
    darken(figure)
    after = colors_of(figure)
    assert PAPER.lower() in after
    assert after == {find_dark(color).lower() for color in before}
    assert not after & {to_hex(color) for color in DARK}


@pytest.mark.parametrize("kind", KINDS)
def test_words_stand_out_in_the_dark(kind: str) -> None:
    figure = KINDS[kind](3.4)
    darken(figure)
    colors = {str(text.get_color()) for text in figure.findobj(Text) if text.get_text()}
    assert min(contrast(color, PAPER) for color in colors) >= 4.5


@pytest.mark.parametrize(
    ("palette", "paper"), [({c: c for c in DARK}, style.PAPER), (DARK, PAPER)], ids=["light", "dark"]
)
def test_lines_and_words_stand_out_from_paper(palette: dict[str, str], paper: str) -> None:
    # WCAG 2 asks 3 to 1 of what is drawn and 4.5 to 1 of text of ordinary size (values from memory).
    assert min(contrast(palette[color], paper) for color in LINES) >= 3.0
    assert min(contrast(palette[color], paper) for color in WORDS) >= 4.5


def test_every_colour_of_the_palette_has_a_dark_one() -> None:
    palette = {
        value
        for name, value in vars(style).items()
        if name.isupper() and isinstance(value, str) and value.startswith("#")
    }
    assert palette == set(DARK)


@pytest.mark.parametrize("kind", SEEN_WITH)
@pytest.mark.parametrize(
    ("a", "b"),
    [
        *combinations([*style.PARTS.values(), style.PAPER], 2),
        (style.RISE, style.SECOND),
        (style.RISE, style.SPREAD),
        (style.SPREAD, style.PAPER),
        (style.MOVING, style.ASLEEP),
    ],
)
def test_dark_colours_stay_apart(kind: str, a: str, b: str) -> None:
    assert difference(DARK[a], DARK[b], SEEN_WITH[kind]) >= 15
