"""The picture of a week, or any span: the most even meals and the least even ones."""

from collections.abc import Sequence
from datetime import tzinfo

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import HIGH_MMOL, WINDOW_MIN
from analysis.plots.field import Field, choose, span_of
from analysis.plots.labels import Box
from analysis.plots.style import (
    AREA,
    HIGH,
    INK,
    MARGIN_PX,
    RISE,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import name_of, write_days
from analysis.results import Floats, RankedMeal, Ranking, Serving
from analysis.units import write_glucose

TITLE, HEAD, BODY, SMALL, SCORE = 62.0, 48.0, 42.0, 36.0, 100.0
HEADER, HEAD_HEIGHT, ROW, FOOT = 210.0, 100.0, 222.0, 84.0
WORDS_LEFT, WORDS_WIDTH = 236.0, 440.0
FIELD_LEFT, FIELD_WIDTH, FIELD_HEIGHT = 706.0, 264.0, 176.0

DRAWN_MOST = 12
"""Of more servings of a meal than this, as many are drawn, evenly chosen."""

Section = tuple[str, list[tuple[int, RankedMeal]]]


def draw_week(ranking: Ranking, unit: str, clock: tzinfo, best: int = 3, worst: int = 3) -> Figure:
    """Draw the most and the least even meals of a span of time, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    ranking: meals from the most even to the least.
    unit: "mmol/L" or "mg/dL".
    clock: the time zone in which days are written.
    best, worst: how many meals to show of each; with fewer meals there are fewer rows, and none is in both.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    sections = split(ranking, best, worst)
    rows = sum(len(meals) for _, meals in sections)
    scored = [serving for meal in ranking.meals for serving in meal.servings]
    height = HEADER + sum(HEAD_HEIGHT + FOOT for _ in sections) + ROW * rows + (100 if rows else 150)
    sheet = Sheet(round(height))
    sheet.write(MARGIN_PX, 92, days([*scored, *ranking.unscored], clock), TITLE)
    sheet.write(MARGIN_PX, 158, tally(ranking), BODY, SOFT_INK)
    y_span = span_of(scored)
    top = HEADER
    for name, meals in sections:
        sheet.line((MARGIN_PX, top), (WIDTH_PX - MARGIN_PX, top), INK, 4)
        sheet.write(MARGIN_PX, top + 64, name, HEAD)
        sheet.write(WIDTH_PX - MARGIN_PX, top + 64, unit, SMALL, SOFT_INK, side="right")
        top += HEAD_HEIGHT
        for rank, meal in meals:
            field = _draw_row(sheet, rank, meal, unit, y_span, top)
            top += ROW
        for minute in (0, 60):
            sheet.write(field.across(minute), top + 26, f"{minute}", SMALL, SOFT_INK, side="center")
        sheet.write(WIDTH_PX - MARGIN_PX, top + 26, "120 min", SMALL, SOFT_INK, side="right")
        top += FOOT
    if rows:
        sheet.write(
            MARGIN_PX, top + 6, "Evenness: 100 = flat line; its likely range is below it.", SMALL, SOFT_INK
        )
        every = all(len(meal.servings) <= DRAWN_MOST for _, meals in sections for _, meal in meals)
        faint = "each serving" if every else "some of the servings"
        sheet.write(MARGIN_PX, top + 54, f"Dark line: the average. Faint lines: {faint}.", SMALL, SOFT_INK)
    else:
        sheet.write(MARGIN_PX, top + 40, "No meal has a score yet.", HEAD)
    return sheet.figure


def alt_week(ranking: Ranking, unit: str, clock: tzinfo, best: int = 3, worst: int = 3) -> str:
    """Say in words what `draw_week` shows, for those who cannot see it; same parameters."""
    every = [*(serving for meal in ranking.meals for serving in meal.servings), *ranking.unscored]
    parts = [f"{days(every, clock)}: {tally(ranking)}."]
    for name, meals in split(ranking, best, worst):
        listed = "; ".join(
            f"{rank}. {m.title}, {m.score:.0f}{_usual_peak(m, unit)} ({behind(m)})" for rank, m in meals
        )
        parts.append(f"{name}: {listed}.")
    if not ranking.meals:
        parts.append("No meal has a score yet.")
    return " ".join(parts)


def _usual_peak(meal: RankedMeal, unit: str) -> str:
    peaks = [s.curve.peak_mmol for s in meal.servings if s.curve]
    return f", peak {write_glucose(float(np.mean(peaks)), unit)} {unit}" if peaks else ""


def split(ranking: Ranking, best: int, worst: int) -> list[Section]:
    """Choose the meals to show: sections of (rank from 1, meal), no meal twice.

    With fewer meals than asked for, each section takes its half of the ranking and a middle one stays out:
    nothing stands under "most even" only because there was nothing better.
    """
    ranked = list(enumerate(ranking.meals, start=1))
    if len(ranked) == 1:
        return [("The only meal with a score", ranked)]
    half = len(ranked) // 2
    best, worst = min(best, half), min(worst, half)
    sections = [("Most even", ranked[:best]), ("Least even", ranked[len(ranked) - worst :])]
    return [(name, meals) for name, meals in sections if meals]


def days(servings: Sequence[Serving], clock: tzinfo) -> str:
    """Name the days that servings span: "Meals, 2 to 8 March"."""
    return f"Meals, {name_days(servings, clock)}" if servings else "Meals"


def name_days(servings: Sequence[Serving], clock: tzinfo) -> str:
    """Name the days from the first to the last serving: "2 to 8 March"."""
    first, last = (end(s.at for s in servings).astimezone(clock).date() for end in (min, max))
    return write_days(first, last)


def tally(ranking: Ranking) -> str:
    """Count what the picture stands on: "5 meals, 9 servings, 2 without a score"."""
    servings = sum(len(meal.servings) for meal in ranking.meals)
    without = f", {len(ranking.unscored)} without a score" if ranking.unscored else ""
    return f"{count(len(ranking.meals), 'meal')}, {count(servings, 'serving')}{without}"


def count(n: int, what: str) -> str:
    """Count things in words.

    >>> count(1, "meal"), count(3, "serving")
    ('1 meal', '3 servings')
    """
    return f"{n} {what}{'' if n == 1 else 's'}"


def behind(meal: RankedMeal) -> str:
    """Say how many servings stand behind a place in the ranking."""
    return "1 serving: no verdict yet" if len(meal.servings) == 1 else count(len(meal.servings), "serving")


def _draw_row(
    sheet: Sheet, rank: int, meal: RankedMeal, unit: str, y_span: tuple[float, float], top: float
) -> Field:
    sheet.write(MARGIN_PX, top + 30, f"no. {rank}", SMALL, SOFT_INK)
    sheet.write(MARGIN_PX - 3, top + 122, f"{meal.score:.0f}", SCORE)
    sheet.write(MARGIN_PX, top + 168, f"{meal.low:.0f}–{meal.high:.0f}", SMALL, SOFT_INK)
    lines = sheet.wrap(name_of(meal.title, meal.servings[0].slot), WORDS_WIDTH, BODY, lines=2)
    for i, line in enumerate(lines):
        sheet.write(WORDS_LEFT, top + 34 + 48 * i, line, BODY)
    under = [behind(meal), *carbs_of(meal)]
    for i, line in enumerate(under):
        sheet.write(WORDS_LEFT, top + 34 + 48 * len(lines) + 44 * i, line, SMALL, SOFT_INK)
    return _draw_small_curve(sheet, meal, unit, y_span, top)


def carbs_of(meal: RankedMeal) -> list[str]:
    """Word the usual carbohydrate of a meal; nothing when it is not known."""
    known = [s.carbs_g for s in meal.servings if s.carbs_g is not None]
    return [f"{sum(known) / len(known):.0f} g carbs"] if known else []


def average(servings: Sequence[Serving]) -> tuple[Floats, Floats]:
    """Return the mean curve of some servings every 5 minutes from 0 to 120, where readings reach.

    Returns
    -------
    minutes, mmol: both shape (k,), k up to 25; at each minute the mean over the servings that cover it.
    """
    minutes = np.arange(0.0, WINDOW_MIN + 1, 5.0)
    lines = [
        np.interp(minutes, s.minutes, s.mmol, left=np.nan, right=np.nan) for s in servings if s.minutes.size
    ]
    if not lines:
        return minutes[:0], minutes[:0]
    stacked = np.vstack(lines)
    reached = ~np.isnan(stacked).all(axis=0)
    return minutes[reached], np.nanmean(stacked[:, reached], axis=0)


def _draw_small_curve(
    sheet: Sheet, meal: RankedMeal, unit: str, y_span: tuple[float, float], top: float
) -> Field:
    box = Box(FIELD_LEFT, top, FIELD_WIDTH, FIELD_HEIGHT)
    field = Field(sheet, box, (-4.0, WINDOW_MIN + 4), y_span, unit)
    field.draw_small_scale(SMALL)
    minutes, mmol = average(meal.servings)
    starts = [s.curve.baseline_mmol for s in meal.servings if s.curve]
    if starts:
        start = float(np.mean(starts))
        floor = max(start, HIGH_MMOL)
        field.axes.fill_between(minutes, start, np.maximum(mmol, start), color=AREA, linewidth=0, zorder=2.5)
        field.axes.fill_between(minutes, floor, np.maximum(mmol, floor), color=HIGH, linewidth=0, zorder=2.6)
    if len(meal.servings) > 1:
        for serving in choose(meal.servings, DRAWN_MOST):
            field.draw_earlier(serving, width=2.5)
    field.axes.plot(minutes, mmol, color=RISE, linewidth=6, solid_capstyle="round", zorder=6)
    sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 3)
    sheet.plate(field.across(0), box.bottom, 22)
    return field
