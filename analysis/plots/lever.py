"""A habit's with and without: each meal against what its plate would do without it, and what it comes to."""

import numpy as np
from matplotlib.figure import Figure

from analysis.habits.seen import Said, Seen
from analysis.plots.difference import LEVEL_PX, levels_of
from analysis.plots.scale import Scale, draw_dot, stroke
from analysis.plots.style import INK, MARGIN_PX, NOTE_PX, RISE, SOFT_INK, WIDTH_PX, Sheet
from analysis.plots.text import plain
from analysis.plots.week import count
from analysis.results import Floats

TITLE, HEAD, SMALL = 58.0, 42.0, 38.0
TITLE_LINE, HEAD_LINE = 66.0, 52.0
LEAST, MOST = 0.0, 200.0
"""Of the scale (percent); what lies beyond is drawn at its end and said so."""
ROW_HEAD, ROW_FOOT = 62.0, 40.0
_INNER = WIDTH_PX - 2 * MARGIN_PX
_LEFT, _RIGHT = MARGIN_PX + 24.0, WIDTH_PX - MARGIN_PX - 24.0


def draw_lever(seen: Seen, said: Said) -> Figure:
    """Draw a lever's with and without, 1080 px wide, to be read on a phone.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    ruler = Sheet(1)
    title = ruler.wrap(plain(said.finding), _INNER, TITLE, lines=3)
    head = ruler.wrap(HEADING, _INNER, HEAD, lines=3)
    notes = [row for note in _notes(seen, said) for row in ruler.wrap(note, _INNER, SMALL, lines=2)]
    head_at = 92 + TITLE_LINE * (len(title) - 1) + 70
    top = head_at + HEAD_LINE * (len(head) - 1) + 70
    heights = [_height(values) for values in (seen.off, seen.on)]
    axis = top + sum(heights) + 150
    sheet = Sheet(round(axis + 110 + NOTE_PX * len(notes)))
    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 92 + TITLE_LINE * i, row, TITLE)
    for i, row in enumerate(head):
        sheet.write(MARGIN_PX, head_at + HEAD_LINE * i, row, HEAD, SOFT_INK)
    scale = Scale(sheet.page(), _LEFT, _RIGHT, LEAST, MOST)
    for label, values, color in (("without it", seen.off, SOFT_INK), ("with it", seen.on, RISE)):
        _draw_row(sheet, scale, f"{label}, {count(len(values), 'meal')}", values, top, color)
        top += _height(values)
    sheet.write(MARGIN_PX, top + 42, "what it comes to, at like meals", SMALL)
    _draw_none(scale, top + ROW_HEAD, axis)
    scale.range(100 + said.low, 100 + said.high, top + 96, width=8)
    scale.dot(100 + said.change, top + 96, hollow=not said.told)
    _draw_axis(sheet, scale, axis)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


NOT_TOLD = " Hollow dot: not told apart from it."
HEADING = "each meal's two hours, in % of what its plate would do without it"


def alt_lever(seen: Seen, said: Said) -> str:
    """Say in words what `draw_lever` shows, for those who cannot see it; same parameters."""
    rows = [
        f"{label} {count(len(values), 'meal')}, half of them from {low:.0f} to {high:.0f} %"
        for label, values in (("without it", seen.off), ("with it", seen.on))
        for low, high in [np.quantile(values, (0.25, 0.75))]
    ]
    return (
        f"{said.finding}. {HEADING[:1].upper()}{HEADING[1:]}: {'; '.join(rows)}. At like meals it comes to "
        f"{100 + said.change:.0f} % (likely {100 + said.low:.0f} to {100 + said.high:.0f} %). "
        + " ".join(_notes(seen, said)[1:])
    ).strip()


def _notes(seen: Seen, said: Said) -> list[str]:
    beyond = sum(int(((values < LEAST) | (values > MOST)).sum()) for values in (seen.on, seen.off))
    notes = ["The line at 100 %: no difference." + NOT_TOLD * (not said.told)]
    if beyond:
        notes.append(f"At the ends: {count(beyond, 'meal')} beyond the scale.")
    return notes


def _places(values: Floats) -> list[float]:
    found: list[float] = np.sort(np.clip(values, LEAST, MOST)).tolist()
    return found


def _levels(values: Floats) -> list[int]:
    return levels_of(_places(values), (_RIGHT - _LEFT) / (MOST - LEAST))


def _height(values: Floats) -> float:
    return ROW_HEAD + ROW_FOOT + LEVEL_PX * (1 + max(_levels(values), default=0))


def _draw_row(sheet: Sheet, scale: Scale, label: str, values: Floats, top: float, color: str) -> None:
    sheet.write(MARGIN_PX, top + 42, label, SMALL)
    base = top + _height(values) - ROW_FOOT
    _draw_none(scale, top + ROW_HEAD, base + ROW_FOOT - 8)
    for value, level in zip(_places(values), _levels(values), strict=True):
        draw_dot(scale.page, scale.at(value), base - LEVEL_PX * level, hollow=True, color=color)


def _draw_none(scale: Scale, top: float, bottom: float) -> None:
    """Draw where a meal does what its plate would do without the lever."""
    x = scale.at(100.0)
    stroke(scale.page, [x, x], [top, bottom], INK, 3, zorder=1)


def _draw_axis(sheet: Sheet, scale: Scale, y: float) -> None:
    stroke(scale.page, [scale.left, scale.right], [y, y], SOFT_INK, 2.5, zorder=1)
    for value in np.linspace(LEAST, MOST, 5).tolist():
        x = scale.at(value)
        stroke(scale.page, [x, x], [y, y + 12], SOFT_INK, 2.5, zorder=1)
        sheet.write(x, y + 54, f"{value:.0f} %", SMALL, SOFT_INK, side="center")
