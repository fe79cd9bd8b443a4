"""The same pictures for a dark screen: every colour of the light palette has a dark one that means the same.

A picture is drawn in the colours of `analysis.plots.style` and recoloured as a whole, so that no module that
draws needs to know of it. Paper becomes dark and ink light; a fill stays darker than the line over it. Lines
that carry meaning keep 3 to 1 against the paper and words 4.5 to 1 (WCAG 2; from memory), in both modes.
"""

from colorsys import hls_to_rgb, rgb_to_hls
from typing import Final

from matplotlib.collections import Collection
from matplotlib.colors import to_hex, to_rgb, to_rgba_array
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.patheffects import withStroke
from matplotlib.text import Text

from analysis.plots import style
from analysis.results import Floats

PAPER: Final = "#1E1C1B"
DARK: Final = {
    style.PAPER: PAPER,
    style.INK: "#F0E9DB",
    style.SOFT_INK: "#B9B0A3",
    style.HAIRLINE: "#46413B",
    style.FAINT: "#A0978A",
    style.FAINT_FIRST: "#6F80C0",
    style.FAINT_SECOND: "#B07C46",
    style.MOVING: "#79B5A8",
    style.ASLEEP: "#9A94B8",
    style.SPREAD: "#46537F",
    style.EDGE: "#7D8BC0",
    style.SECOND: "#E59A4E",
    style.RISE: "#A9C1F5",
    style.AREA: "#94691A",
    style.HIGH: "#EC8199",
    style.DIP: "#6A70B8",
}
"""The dark colour of each light one."""


def darken(figure: Figure) -> None:
    """Recolour a figure for a dark screen; do it once."""
    for artist in figure.findobj(include_self=False):
        if isinstance(artist, Text):
            _darken_text(artist)
        elif isinstance(artist, Line2D):
            face, edge = artist.get_markerfacecolor(), artist.get_markeredgecolor()
            artist.set_color(find_dark(artist.get_color()))
            if _is_seen(face):
                artist.set_markerfacecolor(find_dark(face))
            if _is_seen(edge):
                artist.set_markeredgecolor(find_dark(edge))
        elif isinstance(artist, Collection):
            artist.set_facecolor(_darken_all(to_rgba_array(artist.get_facecolor())))
            artist.set_edgecolor(_darken_all(to_rgba_array(artist.get_edgecolor())))
        elif isinstance(artist, Patch):
            face, edge = artist.get_facecolor(), artist.get_edgecolor()
            if _is_seen(face):
                artist.set_facecolor(find_dark(face))
            if _is_seen(edge):
                artist.set_edgecolor(find_dark(edge))


def find_dark(color: object) -> str:
    """Return the dark colour of a light one; of one that the palette lacks, the same hue turned over.

    >>> find_dark(style.PAPER) == PAPER, find_dark("#a06060")
    (True, '#9f5f5f')
    """
    light = to_hex(to_rgb(color))  # type: ignore[arg-type]  # any colour that matplotlib knows
    known = _BY_HEX.get(light)
    if known is not None:
        return known
    hue, lightness, saturation = rgb_to_hls(*to_rgb(light))
    return to_hex(hls_to_rgb(hue, 1 - lightness, saturation))


_BY_HEX: Final = {to_hex(light): dark for light, dark in DARK.items()}


def _is_seen(color: object) -> bool:
    """Say whether a colour is one at all, and not wholly transparent."""
    found = to_rgba_array(color)  # type: ignore[arg-type]  # any colour that matplotlib knows
    return bool(len(found)) and float(found[0, 3]) > 0


def _darken_text(text: Text) -> None:
    text.set_color(find_dark(text.get_color()))
    halos = [effect for effect in text.get_path_effects() if isinstance(effect, withStroke)]
    if halos:
        drawn = [dict(halo._gc) for halo in halos]  # type: ignore[attr-defined]  # it has no other way to be read
        text.set_path_effects(
            [withStroke(linewidth=gc["linewidth"], foreground=find_dark(gc["foreground"])) for gc in drawn]
        )


def _darken_all(colors: Floats) -> list[tuple[float, float, float, float]]:
    """Return RGBA rows, shape (n, 4), with each colour dark and its alpha kept."""
    return [(*to_rgb(find_dark(tuple(row[:3]))), float(row[3])) for row in colors]
