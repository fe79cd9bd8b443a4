"""One food's or meal's servings as small curves on one scale, from the smallest portion to the largest."""

from collections.abc import Sequence
from datetime import tzinfo

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from analysis.curves import HIGH_MMOL, WINDOW_MIN
from analysis.day_names import name_day
from analysis.plots.field import AFTER_MIN, BEFORE_MIN, USUAL_MMOL, choose, joined, span_of
from analysis.plots.labels import Box
from analysis.plots.scale import stroke
from analysis.plots.style import (
    AREA,
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
from analysis.plots.text import plain, write_time
from analysis.portions import Portion, by_portion, tell_servings
from analysis.results import Floats, Serving
from analysis.units import REFERENCE_WRITTEN

TITLE, HEAD, BODY, SMALL = 62.0, 48.0, 42.0, 38.0
DRAWN_MOST = 12
"""Of more servings than this, as many are drawn, evenly chosen by portion."""
COLUMNS, FIELD_HEIGHT, CELL_HEIGHT, BETWEEN = 2, 210.0, 400.0, 56.0
FEW = 20
ENOUGH, OVER_USUAL = 3, 1.5
"""From so many servings on, what is higher than this many times the usual peak is cut."""
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
    span = span_of_servings(drawn)
    for k, portion in enumerate(drawn):
        left = MARGIN_PX + (wide + BETWEEN) * (k % COLUMNS)
        cell = Box(left, top + CELL_HEIGHT * (k // COLUMNS), wide, CELL_HEIGHT)
        _draw_cell(sheet, cell, portion, (of, clock), span)
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
    return f"{name_day(local, weekday=True)}, {write_time(local)}"


def write_portion(portion: Portion, of: str) -> str:
    """Write how much it was: "60 g oats"."""
    return "portion not known" if portion.grams is None else f"{portion.grams:.0f} g {of}"


def _score(serving: Serving) -> str:
    return "" if serving.evenness is None else f"evenness {serving.evenness.score:.0f}"


def _draw_cell(
    sheet: Sheet,
    cell: Box,
    portion: Portion,
    about: tuple[str, tzinfo],
    span: tuple[float, float],
) -> None:
    """Draw one serving: how much, its curve, its score and when it was."""
    of, clock = about
    serving = portion.serving
    score = "–" if serving.evenness is None else f"{serving.evenness.score:.0f}"
    sheet.write(cell.right, cell.top + 54, score, HEAD, side="right")
    room = cell.width - sheet.size_of(score, HEAD)[0] - 20
    amount = sheet.wrap(plain(write_portion(portion, of)), room, BODY)[0]
    sheet.write(cell.left, cell.top + 54, amount, BODY)
    sheet.write(cell.left, cell.top + 104, write_when(serving, clock), SMALL, SOFT_INK)
    box = Box(cell.left, cell.top + 130, cell.width, FIELD_HEIGHT)
    _draw_curve(sheet, box, serving, span)
    sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 3)
    sheet.plate(box.left - BEFORE_MIN / (AFTER_MIN - BEFORE_MIN) * box.width, box.bottom, 24)


def _draw_curve(sheet: Sheet, box: Box, serving: Serving, span: tuple[float, float]) -> None:
    """Draw one curve in its box; what lies above the span is cut there, with an arrow where it does."""
    page, (low, top) = sheet.page(), span

    def across(minutes: Floats) -> Floats:
        held: Floats = box.left + (minutes - BEFORE_MIN) / (AFTER_MIN - BEFORE_MIN) * box.width
        return held

    def up(mmol: Floats) -> Floats:
        held: Floats = box.bottom - (np.clip(mmol, low, top) - low) / (top - low) * box.height
        return held

    for minute in (60.0, 120.0):
        x = across(np.full(2, minute))
        stroke(page, x, [box.top, box.bottom], HAIRLINE, 1.5, zorder=0.5)
    reference = up(np.full(2, HIGH_MMOL))
    stroke(page, [box.left, box.right], reference, HIGH, 2.5, zorder=2).set_dashes((5, 3))
    minutes, mmol = joined(serving)
    if serving.curve is not None:
        within = np.isfinite(mmol) & (minutes >= 0) & (minutes <= WINDOW_MIN)
        start = up(np.full(np.count_nonzero(within), serving.curve.baseline_mmol))
        along, edge = across(minutes[within]), np.minimum(up(mmol[within]), start)
        outline = np.column_stack([np.r_[along, along[::-1]], np.r_[edge, start]])
        page.add_artist(
            Polygon(outline, facecolor=AREA, edgecolor="none", transform=page.transData, zorder=1)
        )
    stroke(page, across(minutes), np.where(mmol > HIGH_MMOL, reference[0], np.nan), HIGH, 8, zorder=4)
    line = stroke(page, across(minutes), up(mmol), RISE, 6, round_ends=True, zorder=5)
    if np.count_nonzero(np.isfinite(mmol)) <= FEW:
        line.set_marker("o")
        line.set_markersize(12)
    cut = minutes[np.nan_to_num(mmol) > top]
    if cut.size:
        sheet.dot(float(across(cut).mean()), box.top - 4, 22, RISE).set_marker("^")


def span_of_servings(portions: Sequence[Portion]) -> tuple[float, float]:
    """Return the lowest and highest glucose (mmol/L) to show; one extreme does not flatten the others."""
    low, high = span_of([portion.serving for portion in portions])
    peaks = [float(np.nanmax(p.serving.mmol)) for p in portions if np.isfinite(p.serving.mmol).any()]
    if len(peaks) < ENOUGH:
        return low, high
    return low, max(USUAL_MMOL[1], min(high, OVER_USUAL * float(np.median(peaks))))
