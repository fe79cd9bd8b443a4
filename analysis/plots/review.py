"""The picture of a week: days under each other, each with its curve, its mean, and its meals by score."""

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import HIGH_MMOL
from analysis.plots.field import part, span_between
from analysis.plots.labels import Box
from analysis.plots.scale import stroke
from analysis.plots.style import HAIRLINE, HIGH, INK, MARGIN_PX, RISE, SOFT_INK, WIDTH_PX, Sheet
from analysis.plots.text import write_days, write_hour
from analysis.results import DayTrace, Floats
from analysis.units import REFERENCE_WRITTEN, write_glucose

TITLE, HEAD, BODY, SMALL = 62.0, 46.0, 42.0, 36.0
LEFT, RIGHT = 196.0, WIDTH_PX - MARGIN_PX - 116.0
TOP, CURVE_PX, ROW = 240.0, 124.0, 190.0
DAY_MIN, HOUR_MIN = 1440.0, 60.0
WHOLE_MIN = 0.7 * DAY_MIN
"""A day with readings over so much of it has a mean, and is set beside others."""
NUMBERS_APART_PX = 8.0
Scored = tuple[float, float]


def draw_review(days: Sequence[DayTrace], unit: str) -> Figure:
    """Draw a week, 1080 px wide, to be read on a phone.

    All days are on one scale of glucose; what few readings lie above it is cut there, with an arrow. A meal
    is a plate on its day's line, with its score under it where there is room: of two close together the
    lower.

    Parameters
    ----------
    days: in order; a day without readings has a line with its meals only.
    unit: "mmol/L" or "mg/dL".

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    bottom = TOP + ROW * len(days)
    sheet = Sheet(round(bottom + 236))
    sheet.write(MARGIN_PX, 92, f"Your week, {write_days(days[0].day_on, days[-1].day_on)}", TITLE)
    said = sheet.wrap(headline(days), WIDTH_PX - 2 * MARGIN_PX, HEAD, 1)[0]
    sheet.write(MARGIN_PX, 158, said, HEAD, SOFT_INK)
    sheet.write(WIDTH_PX - MARGIN_PX, TOP - 22, f"mean, {unit}", SMALL, SOFT_INK, side="right")
    span = _span(days)
    _draw_clock(sheet, bottom)
    for k, day in enumerate(days):
        _draw_day(sheet, day, Box(LEFT, TOP + ROW * k, RIGHT - LEFT, CURVE_PX), span, unit)
    sheet.write_notes(_notes(sheet, unit), SMALL)
    return sheet.figure


def alt_review(days: Sequence[DayTrace], unit: str) -> str:
    """Say in words what `draw_review` shows, for those who cannot see it; same parameters."""
    parts = [f"Your week, {write_days(days[0].day_on, days[-1].day_on)}. {headline(days)}."]
    for day in days:
        known = day.mmol[np.isfinite(day.mmol)]
        read = "no readings"
        if known.size:
            low, high, mean = (write_glucose(float(f(known)), unit) for f in (np.min, np.max, np.mean))
            whole = "few readings" if _spread(day) is None else f"mean {mean}"
            read = f"{whole}, {low} to {high} {unit}"
        scores = [f"{score:.0f}" for _, score in scored(day)]
        meals = f"; evenness {', '.join(scores)}" if scores else ""
        unscored = len(day.meals) - len(scores)
        without = f"; {unscored} without a score" if unscored else ""
        parts.append(f"{day.day_on:%a}: {read}{meals}{without}.")
    return " ".join(parts)


def headline(days: Sequence[DayTrace]) -> str:
    """Say in one sentence which days swing most and least, as they were read."""
    swings = {day.day_on: spread for day in days if (spread := _spread(day)) is not None}
    if len(swings) < 2:
        return "Too few readings to set days side by side"
    widest, smallest = max(swings, key=lambda day: swings[day]), min(swings, key=lambda day: swings[day])
    return f"Widest swings on {widest:%A}, smallest on {smallest:%A}"


def scored(day: DayTrace) -> list[Scored]:
    """Return minute and score of a day's meals that have one, in the order of time."""
    return sorted((minute, score) for minute, _, _, score in day.meals if score is not None)


def _spread(day: DayTrace) -> float | None:
    """Return the SD within a day (mmol/L), None where too little of it was read."""
    known = np.isfinite(day.mmol)
    minutes = day.minutes[known]
    if minutes.size < 3:
        return None
    steps = np.diff(minutes)
    read = steps[steps <= max(20.0, 2.5 * float(np.median(steps)))].sum()
    return float(np.std(day.mmol[known])) if read >= WHOLE_MIN else None


def _span(days: Sequence[DayTrace]) -> tuple[float, float]:
    """Return the glucose at the foot and the top of each day (mmol/L), so that one peak flattens no day."""
    every = np.concatenate([day.mmol for day in days]) if days else np.empty(0)
    low, high = span_between(every)
    tops = [float(np.nanmax(day.mmol)) for day in days if np.isfinite(day.mmol).any()]
    if tops:
        high = min(high, max(10.4, 5.0 + 1.6 * (float(np.quantile(tops, 0.75)) - 5.0)))
    return low, high


def _draw_clock(sheet: Sheet, bottom: float) -> None:
    """Draw the hours through all days, and name them at the foot."""
    for hour in range(0, 25, 6):
        x = _across(hour * HOUR_MIN)
        sheet.line((x, TOP), (x, bottom - 12), HAIRLINE, 1.5).set_zorder(0.5)
        sheet.write(x, bottom + 30, write_hour(60 * hour), SMALL, SOFT_INK, side="center")


def _across(minute: float) -> float:
    return LEFT + minute / DAY_MIN * (RIGHT - LEFT)


def _draw_day(sheet: Sheet, day: DayTrace, box: Box, span: tuple[float, float], unit: str) -> None:
    sheet.write(MARGIN_PX, box.top + 52, f"{day.day_on:%a}", BODY)
    sheet.write(MARGIN_PX, box.top + 94, f"{day.day_on.day} {day.day_on:%b}", SMALL, SOFT_INK)
    known = day.mmol[np.isfinite(day.mmol)]
    if known.size:
        mean = "–" if _spread(day) is None else write_glucose(float(known.mean()), unit)
        sheet.write(WIDTH_PX - MARGIN_PX, box.top + 70, mean, BODY, side="right")
        _draw_line(sheet, day, box, span)
    else:
        sheet.write(
            (LEFT + RIGHT) / 2, box.top + 66, "no readings", SMALL, SOFT_INK, side="center", halo=True
        )
    sheet.line((LEFT, box.bottom), (RIGHT, box.bottom), INK, 3)
    for minute, _, _, _ in day.meals:
        sheet.plate(_across(minute), box.bottom, 26)
    for minute, score in _with_room(sheet, scored(day)):
        sheet.write(_across(minute), box.bottom + 48, f"{score:.0f}", SMALL, INK, side="center", halo=True)


def _draw_line(sheet: Sheet, day: DayTrace, box: Box, span: tuple[float, float]) -> None:
    """Draw a day's curve over the reference, thick where it is above it."""
    page = sheet.page()
    low, top = span

    def up(mmol: Floats) -> Floats:
        held: Floats = box.bottom - (np.minimum(mmol, top) - low) / (top - low) * box.height
        return held

    ends = np.array([LEFT, RIGHT])
    stroke(page, ends, up(np.full(2, HIGH_MMOL)), HIGH, 2, zorder=2).set_dashes((4, 2.5))
    minutes, mmol = part(day.minutes, day.mmol)
    across = LEFT + minutes / DAY_MIN * (RIGHT - LEFT)
    stroke(page, across, up(mmol), RISE, 4, round_ends=True, zorder=4)
    above = np.where(mmol > HIGH_MMOL, mmol, np.nan)
    if np.isfinite(above).any():
        stroke(page, across, up(above), HIGH, 7, zorder=5)
    cut = minutes[np.isfinite(mmol) & (mmol > top)]
    if cut.size:
        page.plot(_across(float(cut.mean())), box.top - 10, "^", color=HIGH, markersize=16, markeredgewidth=0)


def _with_room(sheet: Sheet, meals: Sequence[Scored]) -> list[Scored]:
    """Return the scores that are written: the lowest first, each where it touches no other."""
    kept: list[Scored] = []
    for minute, score in sorted(meals, key=lambda meal: meal[1]):
        width = sheet.size_of(f"{score:.0f}", SMALL)[0] + NUMBERS_APART_PX
        if all(abs(_across(minute) - _across(other)) >= width for other, _ in kept):
            kept.append((minute, score))
    return kept


def _notes(sheet: Sheet, unit: str) -> list[str]:
    reference = f"{REFERENCE_WRITTEN[unit]} {unit}"
    said = (
        "Plates are meals, the numbers their evenness (100 = flat line). Dashed: the reference line, "
        f"{reference}; thicker above it."
    )
    return sheet.wrap(said, WIDTH_PX - 2 * MARGIN_PX, SMALL, 3)
