"""The versions of a staple on one axis: what each does against the staple as it usually is."""

from collections.abc import Sequence
from math import ceil

import numpy as np
from matplotlib.figure import Figure

from analysis.plots.scale import Scale, stroke
from analysis.plots.style import (
    FAINT_FIRST,
    HAIRLINE,
    INK,
    MARGIN_PX,
    NOTE_PX,
    RISE,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import plain
from analysis.results import Floats
from analysis.units import per_mmol
from analysis.variants.effects import Judged, VersionEffect

TITLE, HEAD, BODY, SMALL = 62.0, 46.0, 42.0, 38.0
ROW_HEIGHT, LINE_PX, TICK_PX, AXIS_HEIGHT = 164.0, 50.0, 26.0, 150.0
MOST_ROWS = 9
TWO_HOURS_MIN = 120.0
LEAST_REACH, MOST_REACH, OVER_WIDEST = 0.4, 3.0, 1.1
"""How far the axis goes at least and at most (mmol/L)."""
_INNER = WIDTH_PX - 2 * MARGIN_PX
Scores = Sequence[Sequence[float]]


def draw_variants(
    judged: Judged, areas: Sequence[float], scores: Scores, words: tuple[str, str, Sequence[str]], unit: str
) -> Figure:
    """Draw the versions of a staple, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    judged: the staple and its versions; of more than `MOST_ROWS` the most eaten are drawn.
    areas: signed area of each row (mmol/L·min), as the versions' rows count them.
    scores: evenness of the servings of each version.
    words: title, verdict, and each version's difference.
    unit: "mmol/L" or "mg/dL".

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    name, said, labels = words
    area = np.array(areas)
    rows = _rows(judged)
    ruler = Sheet(1)
    title = ruler.wrap(plain(name), _INNER, TITLE, lines=2)
    verdict = ruler.wrap(plain(said), _INNER, HEAD, lines=4)
    said_top = 92 + 70.0 * (len(title) - 1) + 72
    top = said_top + 56.0 * (len(verdict) - 1) + 40
    notes = notes_of(judged)
    wrapped = [_wrap(ruler, judged.versions[k], labels[k], scores[k]) for k in rows]
    bottoms = np.cumsum([ROW_HEIGHT + LINE_PX * (len(lines) - 1) for lines in wrapped])
    foot = top + float(bottoms[-1]) + 10
    sheet = Sheet(round(foot + AXIS_HEIGHT + NOTE_PX * len(notes)))
    for i, line in enumerate(title):
        sheet.write(MARGIN_PX, 92 + 70 * i, line, TITLE)
    for i, line in enumerate(verdict):
        sheet.write(MARGIN_PX, said_top + 56 * i, line, HEAD)
    reach = _reach(judged, rows)
    scale = Scale(sheet.page(), MARGIN_PX + 30, WIDTH_PX - MARGIN_PX - 30, -reach, reach)
    stroke(scale.page, [scale.at(0)] * 2, [top + 10, foot], INK, 4, zorder=2)
    usual = float(area[list(judged.usual.version.rows)].mean())
    for k, lines, bottom in zip(rows, wrapped, bottoms.tolist(), strict=True):
        one = judged.versions[k]
        off = (area[list(one.version.rows)] - usual) / TWO_HOURS_MIN
        _draw_row(sheet, scale, one, (lines, _tell(one, scores[k]), off), top + bottom)
    _draw_axis(sheet, scale, reach, foot, unit)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_variants(judged: Judged, scores: Scores, words: tuple[str, str, Sequence[str]], unit: str) -> str:
    """Say in words what `draw_variants` shows, for those who cannot see it."""
    name, said, labels = words
    factor, digits = per_mmol(unit), 1 if unit == "mmol/L" else 0
    told = []
    for k in _rows(judged):
        one = judged.versions[k]
        line = f"{labels[k]}, {_tell(one, scores[k])}"
        if one.effect is not None and len(one.version.rows) > 1:
            at = [f * factor / TWO_HOURS_MIN for f in (one.effect.estimate, one.effect.low, one.effect.high)]
            written = [_signed(value, digits) for value in at]
            line += f", {written[0]} {unit}, likely {written[1]} to {written[2]}"
        told.append(line)
    return f"{name}. {said} Against the usual one, on average over two hours: {'; '.join(told)}."


def notes_of(judged: Judged) -> list[str]:
    """Say what the marks are."""
    notes = [
        "Small marks: single servings. Filled dot: beyond chance.",
        "Line: where it likely lies (90 %), by all your meals.",
    ]
    if len(judged.versions) > MOST_ROWS:
        notes.append(f"{MOST_ROWS} of {len(judged.versions)} versions are drawn, the most eaten.")
    return notes


def _rows(judged: Judged) -> list[int]:
    """Return which versions are drawn, in their order."""
    often = sorted(range(1, len(judged.versions)), key=lambda k: -len(judged.versions[k].version.rows))
    return [0, *sorted(often[: MOST_ROWS - 1])]


def _reach(judged: Judged, rows: Sequence[int]) -> float:
    """Return how far from 0 the axis goes (mmol/L)."""
    found = [judged.versions[k].effect for k in rows if len(judged.versions[k].version.rows) > 1]
    ends = [abs(end) / TWO_HOURS_MIN for one in found if one is not None for end in (one.low, one.high)]
    wide = OVER_WIDEST * max(ends, default=LEAST_REACH)
    return min(max(LEAST_REACH, ceil(wide * 5) / 5), MOST_REACH)


def _count(one: VersionEffect) -> str:
    n = len(one.version.rows)
    return "seen once" if n == 1 else f"{n} servings"


def _mean(scores: Sequence[float]) -> str:
    return f", evenness {np.mean(scores):.0f}" if len(scores) else ""


def _wrap(ruler: Sheet, one: VersionEffect, label: str, scores: Sequence[float]) -> list[str]:
    """Break a version's difference into lines that leave room for what is told beside the last."""
    room = _INNER - ruler.size_of(_tell(one, scores), SMALL)[0] - 30
    return ruler.wrap(plain(label), room, BODY, lines=3)


def _tell(one: VersionEffect, scores: Sequence[float]) -> str:
    return f"{_count(one)}{_mean(scores)}"


def _draw_row(
    sheet: Sheet, scale: Scale, one: VersionEffect, shown: tuple[list[str], str, Floats], bottom: float
) -> None:
    """Draw one version: its difference, how often, its servings, where its effect lies."""
    lines, told, off = shown
    base = bottom - ROW_HEIGHT + 56
    sheet.write(WIDTH_PX - MARGIN_PX, base, told, SMALL, SOFT_INK, side="right", halo=True)
    for n, line in enumerate(reversed(lines)):
        sheet.write(MARGIN_PX, base - LINE_PX * n, line, BODY, halo=True)
    y = base + 50
    stroke(scale.page, [scale.left, scale.right], [y, y], HAIRLINE, 2.5, zorder=1)
    within = off[np.abs(off) <= scale.high]
    scale.ticks(within.tolist(), y + 14, TICK_PX, FAINT_FIRST)
    for sign in (-1.0, 1.0):
        if (sign * off > scale.high).any():
            sheet.dot(scale.at(sign * scale.high) + sign * 22, y + 26, 20, FAINT_FIRST).set_marker(
                "<" if sign < 0 else ">"
            )
    if one.effect is not None and len(one.version.rows) > 1:
        low, high, at = (v / TWO_HOURS_MIN for v in (one.effect.low, one.effect.high, one.effect.estimate))
        scale.range(low, high, y, RISE, width=7)
        scale.dot(at, y, hollow=not one.told, color=RISE)


def _draw_axis(sheet: Sheet, scale: Scale, reach: float, foot: float, unit: str) -> None:
    """Write the axis: lower to the left, higher to the right."""
    factor, digits = per_mmol(unit), 1 if unit == "mmol/L" else 0
    stroke(scale.page, [scale.left, scale.right], [foot, foot], SOFT_INK, 2.5, zorder=1)
    for value in (-reach, -reach / 2, 0.0, reach / 2, reach):
        x = scale.at(value)
        stroke(scale.page, [x, x], [foot, foot + 12], SOFT_INK, 2.5, zorder=1)
        sheet.write(x, foot + 52, _signed(value * factor, digits), SMALL, SOFT_INK, side="center")
    sheet.write(MARGIN_PX, foot + 104, "lower", SMALL, SOFT_INK)
    sheet.write(WIDTH_PX / 2, foot + 104, f"{unit}, mean of two hours", SMALL, SOFT_INK, side="center")
    sheet.write(WIDTH_PX - MARGIN_PX, foot + 104, "higher", SMALL, SOFT_INK, side="right")


def _signed(value: float, digits: int) -> str:
    """Write a difference with its sign.

    >>> _signed(0.31, 1), _signed(-0.04, 1), _signed(-5.2, 0)
    ('+0.3', '0', '−5')
    """
    rounded = round(value, digits)
    return f"{rounded:+.{digits}f}".replace("-", "−") if rounded else "0"
