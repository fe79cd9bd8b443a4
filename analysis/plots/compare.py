"""The picture that compares servings of one meal with servings of another.

All are aligned at the first bite. The mean of each is taken every 5 minutes over the servings that readings
cover there, where these are at least half of them; the band around it is the interval in which the mean of
very many servings likely lies (Student's t at `analysis.evenness.LEVEL`), from three servings on.
"""

from collections.abc import Callable, Sequence
from datetime import tzinfo
from functools import partial
from math import sqrt

import numpy as np
from matplotlib.figure import Figure

from analysis.arms import LOOKS
from analysis.curves import HIGH_MMOL
from analysis.evenness import LEVEL, T_95
from analysis.plots.difference import (
    DIFFERENCE_HEIGHT,
    Judged,
    draw_difference,
    draw_scores,
    scores_height,
    write_difference,
)
from analysis.plots.earlier import draw_cut, interpolate
from analysis.plots.field import AFTER_MIN, BEFORE_MIN, Field, choose, joined, shown, span_between, span_most
from analysis.plots.labels import Box
from analysis.plots.style import (
    FAINT_FIRST,
    FAINT_SECOND,
    HAIRLINE,
    HIGH,
    INK,
    MARGIN_PX,
    NOTE_PX,
    RISE,
    SECOND,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import plain
from analysis.plots.week import count, name_days
from analysis.results import Floats, Serving
from analysis.units import REFERENCE_WRITTEN, write_glucose

TITLE, HEAD, BODY, SMALL = 54.0, 48.0, 42.0, 38.0
TITLE_LINE = 60.0
FIELD_LEFT, FIELD_HEIGHT, ROW = 128.0, 560.0, 60.0
COLUMNS = (730.0, 1000.0)
COLORS = (RISE, SECOND)
FAINT_COLORS = (FAINT_FIRST, FAINT_SECOND)
DASHES = ((1.0, 0.0), (2.2, 0.9))
NEED = 3
STEP_MIN = 5.0
VERDICT_EACH = LOOKS[0]
DRAWN_MOST = 8
"""Of more servings than this, as many of each side are drawn as thin lines, evenly chosen."""
SCORES_SAID = 12
"""Of more servings than this, words say only the lowest and the highest score."""
FEW = 12
"""Servings of up to this many readings are drawn with dots."""

Pair = tuple[Sequence[Serving], Sequence[Serving]]


def draw_compare(
    a: Sequence[Serving],
    b: Sequence[Serving],
    names: tuple[str, str],
    unit: str,
    clock: tzinfo | None,
    judged: Judged | None = None,
) -> Figure:
    """Draw servings of A against servings of B, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    a, b: the servings; those without readings are counted only.
    names: what A and B are called.
    unit: "mmol/L" or "mg/dL".
    clock: the time zone in which days are written; None where they are not to be named.
    judged: B minus A with its range and the verdict; None with too few scores for it.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    pair, ruler, inner = (a, b), Sheet(1), WIDTH_PX - 2 * MARGIN_PX
    said = _name(names, 0), _name(names, 1)
    title = [row for row in ruler.wrap(plain(headline(pair, judged)), inner, TITLE, lines=4) if row]
    rows = [ruler.wrap(name, inner - 90, HEAD, lines=2) for name in said]
    notes = [line for note in notes_of(pair, judged) for line in ruler.wrap(note, inner, SMALL, lines=2)]
    table = measures_of(pair, unit)[1 if judged else 0 :]
    scores = scores_of(pair)
    top = 40.0 + TITLE_LINE * len(title) if title else 0.0
    heads = []
    for lines in rows:
        heads.append(top + 84)
        top += 84 + 64 * (len(lines) - 1) + 46
    difference_top = top + 34
    scores_top = difference_top + (DIFFERENCE_HEIGHT if judged else 0)
    top = scores_top + (scores_height(scores) if any(scores) else 0)
    box = Box(FIELD_LEFT, top + 110, WIDTH_PX - MARGIN_PX - FIELD_LEFT, FIELD_HEIGHT)
    table_top = box.bottom + 140
    sheet = Sheet(round(table_top + 20 + ROW * (len(table) + 1) + NOTE_PX * len(notes) + 40))
    for i, line in enumerate(title):
        sheet.write(MARGIN_PX, 32 + TITLE_LINE * (i + 1), line, TITLE)
    for i, (lines, y) in enumerate(zip(rows, heads, strict=True)):
        _draw_swatch(sheet, i, MARGIN_PX, y - 16)
        for k, line in enumerate(lines):
            sheet.write(MARGIN_PX + 90, y + 64 * k, line, HEAD, COLORS[i])
        counted = _count(pair[i], clock)
        sheet.write(MARGIN_PX + 90, y + 64 * (len(lines) - 1) + 50, counted, SMALL, SOFT_INK)
    everything = [s for side in pair for s in side if shown(s.minutes).any()]
    curves = [mean_of(side) for side in pair]
    low, high = span_most(everything)
    _, mean_high = span_between(np.concatenate([mmol for _, mmol, _ in curves]))
    field = Field(sheet, box, (BEFORE_MIN - 4, AFTER_MIN + 4), (low, max(high, mean_high)), unit)
    swatch = partial(_draw_swatch, sheet)
    if judged:
        sheet.line((MARGIN_PX, difference_top), (WIDTH_PX - MARGIN_PX, difference_top), HAIRLINE, 3)
        draw_difference(sheet, judged, COLORS, swatch, difference_top + 16)
    if any(scores):
        sheet.line((MARGIN_PX, scores_top), (WIDTH_PX - MARGIN_PX, scores_top), HAIRLINE, 3)
        means = judged.arms.score if judged else tuple(sum(s) / len(s) if s else None for s in scores)
        draw_scores(sheet, scores, means, COLORS, swatch, scores_top + 16)
    field.draw_glucose_scale(SMALL)
    field.draw_bite()
    field.draw_minute_scale(box.bottom, SMALL)
    for i, side in enumerate(pair):
        _draw_side(field, i, side, curves[i])
    _name_lines(field, curves, names, everything)
    _write_table(sheet, table, table_top)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_compare(
    a: Sequence[Serving],
    b: Sequence[Serving],
    names: tuple[str, str],
    unit: str,
    clock: tzinfo | None,
    judged: Judged | None = None,
) -> str:
    """Say in words what `draw_compare` shows, for those who cannot see it; same parameters."""
    pair = (a, b)
    said = _name(names, 0), _name(names, 1)
    parts = [headline(pair, judged)]
    if judged:
        parts.append(f"{said[1]} minus {said[0]}: {write_difference(judged.arms)} points of evenness.")
    parts.append(" against ".join(f"{said[i]} ({_count(pair[i], clock)})" for i in (0, 1)) + ".")
    for name, scores in zip(said, scores_of(pair), strict=True):
        each = ", ".join(f"{score:.0f}" for score in scores)
        if scores:
            few = len(scores) <= SCORES_SAID
            parts.append(f"{name} scored {each if few else f'from {min(scores):.0f} to {max(scores):.0f}'}.")
    measured = "; ".join(
        f"{name} {values[0]} against {values[1]}" for name, values in measures_of(pair, unit)
    )
    return " ".join(part for part in [*parts, f"Means: {measured}.", *notes_of(pair, judged)] if part)


def headline(pair: Pair, judged: Judged | None) -> str:
    """Say what the picture answers: the verdict, or that few servings give none."""
    if judged:
        return judged.verdict
    scored = [len(scores) for scores in scores_of(pair)]
    if min(scored) >= VERDICT_EACH:
        return ""
    have = f"{scored[0]} and {count(scored[1], 'scored serving')}"
    return f"No verdict yet: {have}; it takes {VERDICT_EACH} of each."


def scores_of(pair: Pair) -> list[list[float]]:
    """Return what the servings of each side scored."""
    return [[s.evenness.score for s in side if s.evenness] for side in pair]


def mean_of(servings: Sequence[Serving]) -> tuple[Floats, Floats, Floats]:
    """Return the mean curve every 5 minutes from -30 to 150, and half the width of its band.

    Returns
    -------
    minutes, mmol, half: all shape (37,); mmol is NaN where fewer than half of the servings reach, half is
    NaN where fewer than three do.
    """
    minutes = np.arange(BEFORE_MIN, AFTER_MIN + 1, STEP_MIN)
    lines = [interpolate(s, minutes) for s in servings if s.minutes.size]
    mmol, half = np.full(minutes.size, np.nan), np.full(minutes.size, np.nan)
    for k, values in enumerate(np.array(lines).reshape(-1, minutes.size).T):
        known = values[~np.isnan(values)]
        if known.size and 2 * known.size >= len(lines):
            mmol[k] = known.mean()
        if known.size >= NEED and 2 * known.size >= len(lines):
            t = T_95[min(known.size - 1, len(T_95)) - 1]
            half[k] = t * known.std(ddof=1) / sqrt(known.size)
    return minutes, mmol, half


def notes_of(pair: Pair, judged: Judged | None) -> list[str]:
    """Say what lines and bands are."""
    thin = "each serving" if max(map(len, pair)) <= DRAWN_MOST else "some of the servings"
    notes = [] if judged is None or judged.differ else ["Hollow dot above: not told apart."]
    notes.append(f"Thick lines: the means. Thin lines: {thin}.")
    if max(map(len, scores_of(pair))) >= NEED:
        notes.append(f"Bands: where the mean of many servings likely lies ({LEVEL * 100:.0f} %).")
    return notes


def measures_of(pair: Pair, unit: str) -> list[tuple[str, tuple[str, str]]]:
    """Return the rows of the table: what is measured, and its mean for A and for B ("–" where unknown)."""

    def row(read: Callable[[Serving], float | None], write: Callable[[float], str]) -> tuple[str, str]:
        said = []
        for side in pair:
            known = [value for value in map(read, side) if value is not None]
            said.append(write(sum(known) / len(known)) if known else "–")
        return said[0], said[1]

    def whole(value: float) -> str:
        return f"{value:.0f}"

    def glucose(value: float) -> str:
        return write_glucose(value, unit)

    return [
        ("evenness", row(lambda s: s.evenness.score if s.evenness else None, whole)),
        (f"rise, {unit}", row(lambda s: s.curve.rise_mmol if s.curve else None, glucose)),
        ("peak after, min", row(lambda s: s.curve.minutes_to_peak if s.curve else None, whole)),
        (
            f"above {REFERENCE_WRITTEN[unit]}, min",
            row(lambda s: s.curve.minutes_over_7_8 if s.curve else None, whole),
        ),
    ]


def _name(names: tuple[str, str], i: int) -> str:
    said = plain(names[i])
    return said if any(char.isalnum() for char in said) else ("the first", "the second")[i]


def _count(servings: Sequence[Serving], clock: tzinfo | None) -> str:
    without = sum(not s.minutes.size for s in servings)
    unread = f", {without} without readings" if without else ""
    when = f", {name_days(servings, clock)}" if servings and clock is not None else ""
    return f"{count(len(servings), 'serving')}{when}{unread}"


def _draw_swatch(sheet: Sheet, i: int, x: float, y: float) -> None:
    sheet.line((x, y), (x + 68, y), COLORS[i], 9).set_dashes(DASHES[i])


def _draw_side(
    field: Field, i: int, servings: Sequence[Serving], mean: tuple[Floats, Floats, Floats]
) -> None:
    for serving in choose(servings, DRAWN_MOST):
        minutes, mmol = joined(serving)
        field.axes.plot(
            minutes,
            mmol,
            color=FAINT_COLORS[i],
            linewidth=2.5,
            solid_capstyle="round",
            marker="o" if minutes.size <= FEW else None,
            markersize=14,
            zorder=3,
        )
        draw_cut(field, minutes, mmol, FAINT_COLORS[i])
    minutes, mmol, half = mean
    field.axes.fill_between(
        minutes, mmol - half, mmol + half, color=COLORS[i], alpha=0.2, linewidth=0, zorder=4
    )
    field.axes.plot(minutes, mmol, color=COLORS[i], linewidth=9, dashes=DASHES[i], zorder=6 + i)


def _name_lines(
    field: Field,
    means: Sequence[tuple[Floats, Floats, Floats]],
    names: tuple[str, str],
    every: Sequence[Serving],
) -> None:
    """Name each mean line where the two are furthest apart, and the reference."""
    lines = [field.trace(minutes, mmol) for minutes, mmol, _ in means]
    behind = [field.trace(s.minutes[shown(s.minutes)], s.mmol[shown(s.minutes)])[::3] for s in every]
    reference = field.trace(np.array(field.x), np.full(2, HIGH_MMOL))
    blocked = np.concatenate([*lines, *lines, reference, *behind])
    taken = field.keep_off_scale(SMALL)
    for serving in every:
        inside = shown(serving.minutes)
        if np.count_nonzero(inside) <= FEW:
            for minute, mmol in zip(serving.minutes[inside], serving.mmol[inside], strict=True):
                x, y = field.at(minute, mmol)
                taken.append(Box(x - 8, y - 8, 16, 16))
    apart = np.abs(means[0][1] - means[1][1])
    wanted = []
    for i, (minutes, mmol, _) in enumerate(means):
        known = ~np.isnan(mmol) & (minutes > 0)
        if not known.any():
            continue
        far = known & (np.isnan(apart) | (apart >= np.nanmax(apart[known], initial=0.0) / 2))
        anchors = [field.at(m, g) for m, g in zip(minutes[far], mmol[far], strict=True)]
        words = field.sheet.wrap(_name(names, i), 0.5 * field.box.width, SMALL)[0]
        wanted.append((words, anchors, COLORS[i]))
    ends = [field.at(minute, HIGH_MMOL) for minute in field.x]
    wanted.append((f"{REFERENCE_WRITTEN[field.unit]} reference", ends, HIGH))
    field.name(wanted, taken, blocked, SMALL)


def _write_table(sheet: Sheet, table: Sequence[tuple[str, tuple[str, str]]], top: float) -> None:
    sheet.line((MARGIN_PX, top), (WIDTH_PX - MARGIN_PX, top), HAIRLINE, 3)
    sheet.write(MARGIN_PX, top + 60, "means", BODY, SOFT_INK)
    for i, x in enumerate(COLUMNS):
        _draw_swatch(sheet, i, x - 68, top + 46)
    for k, (name, values) in enumerate(table, 1):
        y = top + 60 + ROW * k
        sheet.write(MARGIN_PX, y, name, BODY)
        for i, x in enumerate(COLUMNS):
            sheet.write(x, y, values[i], BODY, COLORS[i], side="right")
    sheet.line((MARGIN_PX, top + 76), (WIDTH_PX - MARGIN_PX, top + 76), INK, 2)
