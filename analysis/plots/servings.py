"""One food's or meal's servings as small curves on one scale, from the smallest portion to the largest."""

from collections.abc import Sequence
from datetime import tzinfo

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import HIGH_MMOL
from analysis.plots.field import AFTER_MIN, BEFORE_MIN, Field, choose, joined, span_of
from analysis.plots.labels import Box
from analysis.plots.marks import shade
from analysis.plots.style import (
    HAIRLINE,
    HIGH,
    INK,
    MARGIN_PX,
    NOTE_PX,
    RISE,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import plain
from analysis.portions import Portion, by_portion, tell_servings
from analysis.results import Serving
from analysis.units import REFERENCE_WRITTEN

TITLE, HEAD, BODY, SMALL = 62.0, 48.0, 42.0, 38.0
DRAWN_MOST = 12
"""Of more servings than this, as many are drawn, evenly chosen by portion."""
COLUMNS, FIELD_HEIGHT, CELL_HEIGHT, BETWEEN = 2, 210.0, 400.0, 56.0
_INNER = WIDTH_PX - 2 * MARGIN_PX


def draw_servings(portions: Sequence[Portion], of: str, name: str, unit: str, clock: tzinfo) -> Figure:
    """Draw every serving of a food or meal, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    portions: one or more with readings, in any order.
    of: what the grams are of: "oats", "carbs".
    name: of the food or meal, in the person's words.
    unit: "mmol/L" or "mg/dL".
    clock: the time zone to write days and times in.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    ordered = by_portion(portions)
    drawn = choose(ordered, DRAWN_MOST)
    ruler = Sheet(1)
    title = ruler.wrap(name_servings(name), _INNER, TITLE, lines=2)
    said = ruler.wrap(plain(tell_servings(portions, of)), _INNER, HEAD, lines=2)
    said_top = 92 + 70.0 * (len(title) - 1) + 76
    top = said_top + 60.0 * (len(said) - 1) + 44
    notes = notes_of(portions, unit)
    rows = -(-len(drawn) // COLUMNS)
    sheet = Sheet(round(top + CELL_HEIGHT * rows + 40 + NOTE_PX * len(notes)))
    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 92 + 70 * i, row, TITLE)
    for i, row in enumerate(said):
        sheet.write(MARGIN_PX, said_top + 60 * i, row, HEAD)
    wide = (_INNER - BETWEEN) / COLUMNS
    span = span_of([portion.serving for portion in drawn])
    for k, portion in enumerate(drawn):
        left = MARGIN_PX + (wide + BETWEEN) * (k % COLUMNS)
        cell = Box(left, top + CELL_HEIGHT * (k // COLUMNS), wide, CELL_HEIGHT)
        _draw_cell(sheet, cell, portion, (of, unit, clock), span)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_servings(portions: Sequence[Portion], of: str, name: str, unit: str, clock: tzinfo) -> str:
    """Say in words what `draw_servings` shows, for those who cannot see it; same parameters."""
    told = "; ".join(
        f"{write_when(p.serving, clock)}, {write_portion(p, of)}, {_score(p.serving) or 'no score'}"
        for p in by_portion(portions)
    )
    return f"{name_servings(name)}, {tell_servings(portions, of)}. By portion: {told}."


def name_servings(name: str) -> str:
    """Name the picture by the food or meal: "Porridge"."""
    said = plain(name)
    return f"{said[:1].upper()}{said[1:]}"


def notes_of(portions: Sequence[Portion], unit: str) -> list[str]:
    """Say what is drawn, and how many of all."""
    notes = [f"One scale, {unit}; dashed: {REFERENCE_WRITTEN[unit]}, a reference. Upright: 1 and 2 h."]
    if len(portions) > DRAWN_MOST:
        notes.append(f"{DRAWN_MOST} of {len(portions)} are drawn, chosen evenly by portion.")
    return notes


def write_when(serving: Serving, clock: tzinfo) -> str:
    """Write when a serving was: "Mon 2 Mar, 07:10"."""
    local = serving.at.astimezone(clock)
    return f"{local:%a} {local.day} {local:%b}, {local:%H:%M}"


def write_portion(portion: Portion, of: str) -> str:
    """Write how much it was: "60 g oats"."""
    return "portion not known" if portion.grams is None else f"{portion.grams:.0f} g {of}"


def _score(serving: Serving) -> str:
    return "" if serving.evenness is None else f"evenness {serving.evenness.score:.0f}"


def _draw_cell(
    sheet: Sheet,
    cell: Box,
    portion: Portion,
    about: tuple[str, str, tzinfo],
    span: tuple[float, float],
) -> None:
    """Draw one serving: how much, its curve, its score and when it was."""
    of, unit, clock = about
    serving = portion.serving
    score = "–" if serving.evenness is None else f"{serving.evenness.score:.0f}"
    sheet.write(cell.right, cell.top + 54, score, HEAD, side="right")
    room = cell.width - sheet.size_of(score, HEAD)[0] - 20
    amount = sheet.wrap(plain(write_portion(portion, of)), room, BODY)[0]
    sheet.write(cell.left, cell.top + 54, amount, BODY)
    sheet.write(cell.left, cell.top + 104, write_when(serving, clock), SMALL, SOFT_INK)
    box = Box(cell.left, cell.top + 130, cell.width, FIELD_HEIGHT)
    field = Field(sheet, box, (BEFORE_MIN, AFTER_MIN), span, unit)
    field.axes.axhline(HIGH_MMOL, color=HIGH, linewidth=2.5, dashes=(5, 3), zorder=2)
    for minute in (60.0, 120.0):
        field.axes.axvline(minute, color=HAIRLINE, linewidth=1.5, zorder=1)
    if serving.curve is not None:
        shade(field, serving, serving.curve)
    minutes, mmol = joined(serving)
    few = np.count_nonzero(np.isfinite(mmol)) <= 20
    field.axes.plot(
        minutes,
        mmol,
        color=RISE,
        linewidth=6,
        solid_capstyle="round",
        marker="o" if few else None,
        markersize=12,
        zorder=6,
    )
    sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 3)
    sheet.plate(field.across(0), box.bottom, 24)
