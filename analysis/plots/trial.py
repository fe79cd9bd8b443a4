"""The picture of a trial: its pairs on one scale, and their mean difference against the bounds."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor, log10

from matplotlib.figure import Figure

from analysis.curves import WINDOW_MIN
from analysis.plots.scale import Scale, draw_dot, stroke
from analysis.plots.style import (
    DIP,
    FAINT,
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
from analysis.trials.protocol import FEWEST
from analysis.trials.verdict import Difference, Verdict
from analysis.units import per_mmol

TITLE, BODY, SMALL = 56.0, 40.0, 36.0
TITLE_LINE, BODY_LINE, ROW = 62.0, 50.0, 62.0
SCALE_LEFT, SCALE_RIGHT = 190.0, 990.0
COLORS = (RISE, SECOND)
GRID_STEPS = (1.0, 2.0, 5.0, 10.0)
GRID_LINES = 5
DIFFERENCE_HEIGHT = 262.0
_INNER = WIDTH_PX - 2 * MARGIN_PX
Areas = Sequence[tuple[float, float]]


def draw_trial(
    verdict: Verdict, areas: Areas, order: Sequence[int], pairs: int, unit: str, headline: str
) -> Figure:
    """Draw a trial's pairs and where the bound lies, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    verdict: as `analysis.trials.verdict.judge` gives it.
    areas: signed 2-hour areas (mmol/L·min) of the first and of the second arm, of each pair.
    order: which arm (0 or 1) was eaten first in each pair.
    pairs: how many are agreed at most.
    unit: "mmol/L" or "mg/dL".
    headline: what the picture answers, in one sentence.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    ruler, areas = Sheet(1), areas[: verdict.pairs]
    title = ruler.wrap(plain(headline), _INNER, TITLE, lines=4)
    under = ruler.wrap(f"added to the two hours after the meal, mean in {unit}", _INNER, BODY, lines=2)
    notes = [row for said in notes_of(verdict, pairs) for row in ruler.wrap(said, _INNER, SMALL, lines=3)]
    names = [ruler.wrap(plain(arm.name), _INNER - 60, BODY, lines=2) for arm in verdict.arms]
    under_at = 32 + TITLE_LINE * len(title) + 56
    names_at = under_at + BODY_LINE * len(under) + 24
    top = names_at + BODY_LINE * sum(map(len, names)) + 76
    bottom = top + ROW * len(areas)
    height = bottom + (DIFFERENCE_HEIGHT if verdict.look else 0) + 60 + NOTE_PX * len(notes)
    sheet = Sheet(round(height))
    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 32 + TITLE_LINE * (i + 1), row, TITLE)
    for i, row in enumerate(under):
        sheet.write(MARGIN_PX, under_at + BODY_LINE * i, row, BODY, SOFT_INK)
    y = names_at
    for arm, rows in enumerate(names):
        _draw_mark(sheet, MARGIN_PX + 16, y - 13, arm)
        for row in rows:
            sheet.write(MARGIN_PX + 60, y, row, BODY, COLORS[arm])
            y += BODY_LINE
    if areas:
        _draw_pairs(sheet, verdict, areas, order, unit, (top, bottom))
    if verdict.look:
        _draw_difference(sheet, verdict, unit, bottom + 40)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_trial(
    verdict: Verdict, areas: Areas, order: Sequence[int], pairs: int, unit: str, headline: str
) -> str:
    """Say in words what `draw_trial` shows, for those who cannot see it; same parameters."""
    a, b = (plain(arm.name) for arm in verdict.arms)
    areas = areas[: verdict.pairs]
    each = [
        f"{k + 1}: {_write(first, unit)} and {_write(second, unit)}"
        for k, (first, second) in enumerate(areas)
    ]
    told = [f"{headline.rstrip('.')}."]
    if each:
        told.append(f"Added to the two hours after the meal, mean in {unit}, {a} and {b}: {'; '.join(each)}.")
    if verdict.look and verdict.difference:
        found = _range_of(verdict)
        low, high = _write(found.low, unit, signed=True), _write(found.high, unit, signed=True)
        told.append(f"{b} minus {a}: {_write(found.estimate, unit, signed=True)}, likely {low} to {high}.")
    if verdict.bound is not None and verdict.word != "no difference worth having":
        told.append(f"The bound for clear lies at {_write(verdict.bound, unit)} either way.")
    return " ".join([*told, *notes_of(verdict, pairs)])


def notes_of(verdict: Verdict, pairs: int) -> list[str]:
    """Say what lines and dots are, and how far the trial is."""
    told = [f"Pairs judged: {verdict.pairs}; at most {pairs}."]
    if verdict.pairs:
        told.append("Rings were eaten first. Dashes: means.")
    if verdict.word == "no difference worth having":
        told.append(f"Between the lilac lines the arms are less than {100 * verdict.margin:.0f} % apart.")
    elif verdict.bound is not None:
        told.append("Plum: the bounds, by the rule we agreed. A dot on or beyond one is clear.")
    elif verdict.look is not None:
        told.append("So few pairs have no bound: none could be clear.")
    else:
        told.append(f"I first look at the difference after pair {FEWEST}.")
    return told


def _draw_pairs(
    sheet: Sheet,
    verdict: Verdict,
    areas: Areas,
    order: Sequence[int],
    unit: str,
    between: tuple[float, float],
) -> None:
    """Draw a row for each pair: both servings, joined; the mean of each arm as a line behind."""
    top, bottom = between
    means = [value / WINDOW_MIN for pair in areas for value in pair]
    scale, values = _lay_scale(sheet, min(0.0, *means), max(0.0, *means), unit)
    for value in values:
        x = scale.at(value / per_mmol(unit))
        color, width = (FAINT, 3) if value == 0 else (HAIRLINE, 2)
        stroke(scale.page, [x, x], [top - 24, bottom - 8], color, width, zorder=1)
        sheet.write(x, top - 40, f"{value:g}".replace("-", "−"), SMALL, SOFT_INK, side="center")
    for arm, color in zip(verdict.arms, COLORS, strict=True):
        assert arm.mean is not None
        x = scale.at(arm.mean / WINDOW_MIN)
        mean = stroke(scale.page, [x, x], [top - 24, bottom - 8], color, 3, zorder=2)
        mean.set_dashes((3.0, 2.5))
    for k, pair in enumerate(areas):
        y = top + ROW * k + 16
        sheet.write(MARGIN_PX, y + 13, f"pair {k + 1}", SMALL, SOFT_INK)
        ends = [scale.at(value / WINDOW_MIN) for value in pair]
        stroke(scale.page, ends, [y, y], SOFT_INK, 5)
        for which, end in enumerate(ends):
            draw_dot(scale.page, end, y, hollow=order[k] == which, color=COLORS[which])


def _draw_difference(sheet: Sheet, verdict: Verdict, unit: str, top: float) -> None:
    """Draw the mean difference with its range against zero and the bounds."""
    found = _range_of(verdict)
    sheet.line((MARGIN_PX, top), (WIDTH_PX - MARGIN_PX, top), HAIRLINE, 3)
    low, high = _write(found.low, unit, signed=True), _write(found.high, unit, signed=True)
    x, y = float(MARGIN_PX), top + 60
    for arm, then in (
        (1, "minus"),
        (0, f":  {_write(found.estimate, unit, signed=True)}, likely {low} to {high}"),
    ):
        _draw_mark(sheet, x + 16, y - 13, arm)
        sheet.write(x + 44, y, then, BODY)
        x += 44 + sheet.size_of(then, BODY)[0] + 20
    ends, color = _lines_of(verdict)
    reach = max(abs(value) for value in (found.low, found.high, *ends)) / WINDOW_MIN
    scale, values = _lay_scale(sheet, -reach, reach, unit)
    middle, foot = top + 122, top + 166
    stroke(scale.page, [scale.left, scale.right], [foot, foot], SOFT_INK, 2.5)
    for value in values:
        x = scale.at(value / per_mmol(unit))
        stroke(scale.page, [x, x], [foot, foot + 12], SOFT_INK, 2.5)
        said = "0" if value == 0 else f"{value:+g}".replace("-", "−")
        sheet.write(x, foot + 52, said, SMALL, SOFT_INK, side="center")
    zero = scale.at(0.0)
    stroke(scale.page, [zero, zero], [top + 86, foot], INK, 5)
    for value in ends:
        x = scale.at(value / WINDOW_MIN)
        stroke(scale.page, [x, x], [top + 86, foot], color, 5)
    scale.range(found.low / WINDOW_MIN, found.high / WINDOW_MIN, middle, width=8)
    scale.dot(found.estimate / WINDOW_MIN, middle, hollow=verdict.word != "clear")


def _range_of(verdict: Verdict) -> Difference:
    """Return the difference (mmol/L·min) with the range that it was judged by: the percent's at a margin."""
    found, percent, usual = verdict.difference, verdict.percent, verdict.arms[0].mean
    assert found is not None
    if verdict.word != "no difference worth having" or percent is None or usual is None:
        return found
    return replace(found, low=percent.low / 100 * usual, high=percent.high / 100 * usual)


def _lines_of(verdict: Verdict) -> tuple[tuple[float, ...], str]:
    """Return the differences (mmol/L·min) it was judged by, the bounds or the margin, and their colour."""
    usual = verdict.arms[0].mean
    if verdict.word == "no difference worth having" and usual is not None:
        return (usual * (1 / (1 + verdict.margin) - 1), usual * verdict.margin), DIP
    return () if verdict.bound is None else (-verdict.bound, verdict.bound), HIGH


def _draw_mark(sheet: Sheet, x: float, y: float, arm: int) -> None:
    draw_dot(sheet.page(), x, y, color=COLORS[arm])


def _lay_scale(sheet: Sheet, low: float, high: float, unit: str) -> tuple[Scale, list[float]]:
    """Return a scale from low to high (mmol/L) that ends on round numbers, and these in `unit`."""
    per = per_mmol(unit)
    rough = per * max(high - low, 0.1) / GRID_LINES
    decade = 10.0 ** floor(log10(rough))
    step = decade * next(size for size in GRID_STEPS if size * decade >= rough)
    first, last = floor(per * low / step + 1e-9), ceil(per * high / step - 1e-9)
    values = [round(step * k, 6) for k in range(first, last + 1)]
    return Scale(sheet.page(), SCALE_LEFT, SCALE_RIGHT, values[0] / per, values[-1] / per), values


def _write(area: float, unit: str, *, signed: bool = False) -> str:
    """Write an area (mmol/L·min) as its mean over two hours.

    >>> _write(-60.0, "mmol/L", signed=True), _write(60.0, "mg/dL")
    ('−0.5', '9')
    """
    digits = 1 if unit == "mmol/L" else 0
    mean = round(area / WINDOW_MIN * per_mmol(unit), digits) + 0.0
    return f"{mean:{'+' if signed and mean else ''}.{digits}f}".replace("-", "−")
