"""What a food adds by its portion: the curve with its band, and what each occasion showed."""

from collections.abc import Callable

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.curves import WINDOW_MIN
from analysis.foods.contrasts import Portions
from analysis.plots.foods import find_step
from analysis.plots.labels import Box
from analysis.plots.scale import draw_dot, stroke
from analysis.plots.style import (
    EDGE,
    HAIRLINE,
    INK,
    MARGIN_PX,
    NOTE_PX,
    RISE,
    SOFT_INK,
    SPREAD,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import plain
from analysis.plots.week import count
from analysis.results import Floats
from analysis.units import per_mmol

TITLE, HEAD, SMALL = 58.0, 42.0, 38.0
TITLE_LINE, HEAD_LINE, FIELD_HEIGHT = 66.0, 52.0, 640.0
FIELD_LEFT = 130.0
_INNER = WIDTH_PX - 2 * MARGIN_PX
NOTHING = 6.0
"""Less (mmol/L·min) rounds to nothing: a mean rise of 0.05 mmol/L."""
LEAST_TOP = 36.0
"""The scale is never shorter than this (mmol/L·min): next to nothing is to look so."""
CUT_ABOVE = 1.6
"""What lies beyond so many times the band is drawn as an arrow there, so that one meal flattens nothing."""


def draw_portion(found: Portions, name: str, unit: str) -> Figure:
    """Draw what a food adds by its portion, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    found: as `analysis.foods.contrasts.respond_to_portions` gives it.
    name: of the food, in plain words.
    unit: "mmol/L" or "mg/dL".

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    ruler = Sheet(1)
    title = ruler.wrap(plain(headline(found, name, unit)), _INNER, TITLE, lines=3)
    said = ruler.wrap(f"added to the two hours after a meal, mean in {unit}", _INNER, HEAD, lines=2)
    notes = [row for note in notes_of(found) for row in ruler.wrap(note, _INNER, SMALL, lines=2)]
    said_at = 92 + TITLE_LINE * (len(title) - 1) + 70
    top = said_at + HEAD_LINE * (len(said) - 1) + 96
    box = Box(FIELD_LEFT, top, WIDTH_PX - MARGIN_PX - FIELD_LEFT, FIELD_HEIGHT)
    sheet = Sheet(round(box.bottom + 150 + NOTE_PX * len(notes)))
    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 92 + TITLE_LINE * i, row, TITLE)
    for i, row in enumerate(said):
        sheet.write(MARGIN_PX, said_at + HEAD_LINE * i, row, HEAD, SOFT_INK)
    _draw_field(sheet, box, found, unit)
    eaten = sheet.wrap(f"g {plain(name)}", box.width, SMALL)[0]
    sheet.write(box.right, box.bottom + 104, eaten, SMALL, SOFT_INK, side="right")
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_portion(found: Portions, name: str, unit: str) -> str:
    """Say in words what `draw_portion` shows, for those who cannot see it; same parameters."""
    told = []
    for share in (0.5, 1.0, 1.5):
        grams = share * found.usual_g
        if grams > found.grams[-1]:
            continue
        low, middle, high = (
            write_rise(_at(found, curve, grams), unit) for curve in (found.low, found.middle, found.high)
        )
        told.append(f"{grams:.0f} g {middle} (likely {low} to {high})")
    portions = f"{found.seen_grams.min():.0f} to {found.seen_grams.max():.0f} g"
    return (
        f"{headline(found, name, unit)}. Added to the two hours after a meal, mean in {unit}: "
        f"{'; '.join(told)}. Portions eaten: {portions}. {' '.join(notes_of(found))}"
    )


def headline(found: Portions, name: str, unit: str) -> str:
    """Say what the usual portion adds, and half of it."""
    usual, half = (write_rise(_at(found, found.middle, share * found.usual_g), unit) for share in (1.0, 0.5))
    if _at(found, found.middle, found.usual_g) < NOTHING:
        return f"{found.usual_g:.0f} g {name} adds next to nothing"
    return f"{found.usual_g:.0f} g {name} adds about {usual} {unit}, half of it about {half}"


def write_rise(area: float, unit: str) -> str:
    """Write a two-hour area as the mean rise in the person's unit.

    >>> write_rise(108.0, "mmol/L"), write_rise(108.0, "mg/dL"), write_rise(-1.0, "mmol/L")
    ('0.9', '16', '0.0')
    """
    said = f"{area / WINDOW_MIN * per_mmol(unit):.{1 if unit == 'mmol/L' else 0}f}"
    return said.lstrip("-") if float(said) == 0 else said.replace("-", "−")


def notes_of(found: Portions) -> list[str]:
    """Say what dots and band are."""
    n = len(found.seen)
    return [
        f"Dots: {count(n, 'meal')} with it, the rest of the plate, hour and walks counted out.",
        "Band: where the curve likely lies. Beyond the portions you ate it is a guess."
        + (" Arrows: meals beyond the scale." if _reach(found) < np.abs(found.seen).max() else ""),
    ]


def _reach(found: Portions) -> float:
    """Return beyond which a meal is drawn as an arrow (mmol/L·min)."""
    return CUT_ABOVE * max(float(found.high.max()), LEAST_TOP)


def _at(found: Portions, curve: Floats, grams: float) -> float:
    return float(np.interp(grams, found.grams, curve))


def _draw_field(sheet: Sheet, box: Box, found: Portions, unit: str) -> None:
    page = sheet.page()
    per = per_mmol(unit) / WINDOW_MIN
    low, middle, high, seen = (per * values for values in (found.low, found.middle, found.high, found.seen))
    reach = per * _reach(found)
    top = min(max(float(seen.max()), float(high.max()), per * LEAST_TOP), reach)
    foot = max(min(float(seen.min()), float(low.min()), 0.0), -reach)
    step = find_step(top - foot)
    foot, top = step * np.floor(foot / step + 1e-9), step * np.ceil(top / step - 1e-9)

    def across(grams: Floats | float) -> Floats:
        placed: Floats = box.left + np.asarray(grams, dtype=float) / found.grams[-1] * box.width
        return placed

    def up(values: Floats | float) -> Floats:
        inside = np.clip(np.asarray(values, dtype=float), foot, top)
        placed: Floats = box.bottom - (inside - foot) / (top - foot) * box.height
        return placed

    digits = 0 if step >= 1 else 1
    for k in range(round((top - foot) / step) + 1):
        value = foot + k * step
        y = float(up(value))
        zero = abs(value) < step / 2
        if not zero:
            stroke(page, [box.left, box.right], [y, y], HAIRLINE, 2, zorder=0)
        said = "0" if zero else f"{value:.{digits}f}".replace("-", "−")
        sheet.write(box.left - 20, y + SMALL * 0.33, said, SMALL, SOFT_INK, side="right")
    zero_y = float(up(0.0))
    stroke(page, [box.left, box.right], [zero_y, zero_y], INK, 4, zorder=1)
    page.fill_between(across(found.grams), up(low), up(high), color=SPREAD, linewidth=0, zorder=1.5)
    for edge in (low, high):
        stroke(page, across(found.grams), up(edge), EDGE, 3, zorder=2)
    stroke(page, across(found.grams), up(middle), RISE, 8, round_ends=True, zorder=4)
    for grams, value in zip(found.seen_grams, seen, strict=True):
        if foot <= value <= top:
            draw_dot(page, float(across(grams)), float(up(value)), hollow=True)
        else:
            mark = Line2D([float(across(grams))], [float(up(value))], marker="^" if value > top else "v")
            mark.set(color=INK, markersize=24, transform=page.transData, zorder=6)
            page.add_artist(mark)
    _draw_grams(sheet, box, found, across)
    usual = float(across(found.usual_g))
    stroke(page, [usual, usual], [box.top, box.bottom], INK, 3, zorder=3).set_dashes((3, 2))
    sheet.write(usual, box.top - 18, f"usual {found.usual_g:.0f} g", SMALL, INK, side="center")


def _draw_grams(sheet: Sheet, box: Box, found: Portions, across: Callable[[float], Floats]) -> None:
    step = find_step(float(found.grams[-1]))
    for k in range(int(found.grams[-1] / step + 1e-9) + 1):
        x = float(across(k * step))
        stroke(sheet.page(), [x, x], [box.bottom, box.bottom + 12], SOFT_INK, 3, zorder=1)
        sheet.write(x, box.bottom + 54, f"{k * step:g}", SMALL, SOFT_INK, side="center")
