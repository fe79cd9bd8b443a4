"""The picture of a week, or any span: all its meals on one scale of evenness, and which can be told apart."""

from collections import Counter
from collections.abc import Sequence
from datetime import tzinfo
from itertools import groupby

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from analysis.plots.field import span_most
from analysis.plots.labels import Box
from analysis.plots.scale import Scale, draw_dot
from analysis.plots.small import average, draw_small
from analysis.plots.style import HAIRLINE, INK, MARGIN_PX, NOTE_PX, SOFT_INK, WIDTH_PX, Sheet
from analysis.plots.text import name_of, plain, write_days
from analysis.ranking import SURE
from analysis.results import RankedMeal, Ranking, Serving
from analysis.units import REFERENCE_WRITTEN, write_glucose

TITLE, BODY, SMALL = 56.0, 40.0, 36.0
TITLE_LINE, BODY_LINE, ROW, BREAK = 62.0, 50.0, 98.0, 70.0
RAIL, WORDS_LEFT, NAME_RIGHT, SCORE_RIGHT = 64.0, 92.0, 802.0, 868.0
SCALE_LEFT, SCALE_RIGHT = 456.0, 784.0
CURVE_LEFT, CURVE_HEIGHT = 900.0, 72.0

ROWS_MOST = 16
"""Of more meals than this, the first half as many and the last are drawn."""
USUAL_START = 4.8
LABEL_ROWS = 3
"""How many rows in one run the rail needs to bear its words."""


def draw_week(ranking: Ranking, unit: str, clock: tzinfo) -> Figure:
    """Draw the meals of a span of time, the most even first, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    ranking: meals from the most even to the least; of more than `ROWS_MOST` those in the middle stay out.
    unit: "mmol/L" or "mg/dL".
    clock: the time zone in which days are written.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    ruler, inner = Sheet(1), WIDTH_PX - 2 * MARGIN_PX
    title = [row for said in headline(ranking) for row in ruler.wrap(plain(said), inner, TITLE, lines=2)]
    under = [row for said in _under(ranking, clock) for row in ruler.wrap(said, inner, BODY, lines=2)]
    notes = [
        row for note in notes_of(ranking, unit) for row in ruler.wrap(plain(note), inner, SMALL, lines=3)
    ]
    shown_meals = chosen(ranking.meals)
    under_at = 32 + TITLE_LINE * len(title) + 56
    rows_at = under_at + BODY_LINE * (len(under) - 1) + 80
    rows_end = rows_at + ROW * len(shown_meals) + (BREAK if len(shown_meals) < len(ranking.meals) else 0)
    legend_at = rows_end + 62
    height = legend_at + 16 + NOTE_PX * len(notes) + 30 if shown_meals else under_at + 60
    sheet = Sheet(round(height))
    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 32 + TITLE_LINE * (i + 1), row, TITLE)
    for i, row in enumerate(under):
        sheet.write(MARGIN_PX, under_at + BODY_LINE * i, row, BODY, SOFT_INK)
    if shown_meals:
        scale = Scale(sheet.page(), SCALE_LEFT, SCALE_RIGHT)
        _draw_scale(sheet, scale, rows_at, rows_end)
        _draw_rows(sheet, scale, ranking, shown_meals, rows_at)
        _draw_legend(sheet, scale.page, legend_at)
        sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_week(ranking: Ranking, unit: str, clock: tzinfo) -> str:
    """Say in words what `draw_week` shows, for those who cannot see it; same parameters."""
    parts = [*(f"{said.rstrip('.')}." for said in (*headline(ranking), *_under(ranking, clock)))]
    listed = []
    for place, meal in chosen(ranking.meals):
        known = [count(len(meal.servings), "serving"), *carbs_of(meal), *_usual_peak(meal, unit)]
        alike = ", not told apart from the first" if place > 1 and meal.behind < SURE else ""
        listed.append(
            f"{place}. {meal.title}, {meal.score:.0f} (likely {meal.low:.0f} to {meal.high:.0f}; "
            f"{', '.join(known)}){alike}"
        )
    if listed:
        parts.append(f"From the most even: {'; '.join(listed)}.")
    return " ".join([*parts, *_left_out(ranking)])


def headline(ranking: Ranking) -> list[str]:
    """Say in one sentence, or two, what the picture answers."""
    meals = ranking.meals
    if not meals:
        return ["No meal has a score yet."]
    if len(meals) == 1:
        return ["Only one meal has a score: nothing to compare it with yet"]
    if ranking.told_apart:
        first, last = (name_of(meal.title, meal.servings[-1].slot) for meal in (meals[0], meals[-1]))
        if first == last:
            first, last = (", ".join([first, *carbs_of(meal)]) for meal in (meals[0], meals[-1]))
        return [f"Most even: {first}", f"Least even: {last}"]
    if all(meal.behind < SURE for meal in meals):
        which = "two" if len(meals) == 2 else f"{len(meals)}"
        return [f"These {which} meals can't be told apart yet"]
    return ["The first and the last meal can't be told apart yet"]


def _under(ranking: Ranking, clock: tzinfo) -> list[str]:
    every = [*(s for meal in ranking.meals for s in meal.servings), *ranking.unscored]
    every += [serving for serving, _ in ranking.left_out]
    when = f"{name_days(every, clock)}: " if every else ""
    alike = sum(meal.behind < SURE for meal in ranking.meals[1:])
    said = [f"{when}{tally(ranking)}"]
    if ranking.told_apart and alike:
        said.append(f"Bracketed: {count(alike, 'other')} can't be told apart from the first")
    return said


def chosen(meals: Sequence[RankedMeal]) -> list[tuple[int, RankedMeal]]:
    """Return the meals to draw with their places from 1: all, or the first and the last `ROWS_MOST` / 2."""
    ranked = list(enumerate(meals, start=1))
    half = ROWS_MOST // 2
    return ranked if len(ranked) <= ROWS_MOST else [*ranked[:half], *ranked[-half:]]


def notes_of(ranking: Ranking, unit: str) -> list[str]:
    """Say what the small curves are, and what was not ranked."""
    dashed = f"{REFERENCE_WRITTEN[unit]} {unit}"
    return [f"100 = flat line. Small curves: 2 h average, dashed {dashed}.", *_left_out(ranking)]


def _left_out(ranking: Ranking) -> list[str]:
    reasons = Counter(why for _, why in ranking.left_out)
    said = "; ".join(f"{count(n, 'serving')}, {why}" for why, n in reasons.items())
    return [f"Not ranked: {said}."] if said else []


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


def carbs_of(meal: RankedMeal) -> list[str]:
    """Word the usual carbohydrate of a meal; nothing when it is not known."""
    known = [s.carbs_g for s in meal.servings if s.carbs_g is not None]
    return [f"{sum(known) / len(known):.0f} g carbs"] if known else []


def _usual_peak(meal: RankedMeal, unit: str) -> list[str]:
    peaks = [s.curve.peak_mmol for s in meal.servings if s.curve]
    return [f"peak {write_glucose(float(np.mean(peaks)), unit)} {unit}"] if peaks else []


def _draw_scale(sheet: Sheet, scale: Scale, top: float, bottom: float) -> None:
    sheet.write(SCALE_LEFT - 36, top - 18, "evenness", SMALL, SOFT_INK, side="right")
    sheet.line((MARGIN_PX, top), (WIDTH_PX - MARGIN_PX, top), INK, 4)
    for value in (0, 25, 50, 75, 100):
        x = scale.at(value)
        scale.page.plot([x, x], [top, bottom], color=HAIRLINE, linewidth=2 if value % 50 else 3, zorder=0)
        if value % 50 == 0:
            sheet.write(x, top - 18, f"{value}", SMALL, SOFT_INK, side="center")
    sheet.write(WIDTH_PX - MARGIN_PX, top - 18, "2 h", SMALL, SOFT_INK, side="right")
    sheet.line((MARGIN_PX, bottom), (WIDTH_PX - MARGIN_PX, bottom), HAIRLINE, 3)


def _draw_rows(
    sheet: Sheet, scale: Scale, ranking: Ranking, meals: Sequence[tuple[int, RankedMeal]], top: float
) -> None:
    """Draw a row for each meal, and at the left a rail over those not told apart from the first."""
    span = _span([meal for _, meal in meals])
    rail: list[tuple[float, bool]] = []
    before = 0
    for place, meal in meals:
        if place > before + 1:
            said = f"{count(place - before - 1, 'meal')} between these not drawn"
            sheet.write(WORDS_LEFT, top + 48, said, SMALL, SOFT_INK, halo=True)
            rail.append((top, False))
            top += BREAK
        _draw_row(sheet, scale, meal, span, top)
        rail.append((top, meal.behind < SURE))
        top += ROW
        before = place
    alike = [list(run) for on, run in groupby(rail, key=lambda each: each[1]) if on]
    if sum(map(len, alike)) < 2:
        return
    for run in alike:
        _draw_rail(sheet, run[0][0], run[-1][0] + ROW, words=len(run) >= LABEL_ROWS and run is alike[0])


def _span(meals: Sequence[RankedMeal]) -> tuple[float, float]:
    """Return the glucose at the foot and the top of the small curves (mmol/L)."""
    lows = [mmol.min() for _, mmol in (average(meal.servings) for meal in meals) if mmol.size]
    _, top = span_most([serving for meal in meals for serving in meal.servings])
    return min(float(min(lows)) - 0.2, USUAL_START) if lows else USUAL_START, top


def _draw_rail(sheet: Sheet, top: float, bottom: float, *, words: bool) -> None:
    top, bottom = top + 12, bottom - 8
    sheet.line((RAIL, top), (RAIL, bottom), INK, 5)
    for y in (top, bottom):
        sheet.line((RAIL, y), (RAIL + 12, y), INK, 5)
    if words:
        written = sheet.write(RAIL - 16, (top + bottom) / 2, "not told apart", SMALL, INK, side="center")
        written.set_rotation(90)
        written.set_verticalalignment("center")
        written.set_horizontalalignment("right")


def _draw_row(sheet: Sheet, scale: Scale, meal: RankedMeal, span: tuple[float, float], top: float) -> None:
    name = name_of(meal.title, meal.servings[-1].slot)
    known = ", ".join([count(len(meal.servings), "serving"), *carbs_of(meal)])
    name = sheet.wrap(name, NAME_RIGHT - WORDS_LEFT, BODY)[0]
    over = WORDS_LEFT + sheet.size_of(name, BODY)[0] > SCALE_LEFT  # over the lines of the scale
    sheet.write(WORDS_LEFT, top + 42, name, BODY, halo=over)
    room = SCALE_LEFT - 20 - WORDS_LEFT
    sheet.write(WORDS_LEFT, top + 80, sheet.wrap(known, room, SMALL)[0], SMALL, SOFT_INK)
    y = top + 69
    scale.range(meal.low, meal.high, y)
    scale.dot(meal.score, y, hollow=len(meal.servings) == 1)
    scale.ticks([s.evenness.score for s in meal.servings if s.evenness], y + 14, 13)
    sheet.write(SCORE_RIGHT, top + 80, f"{meal.score:.0f}", BODY, side="right")
    box = Box(CURVE_LEFT, top + 16, WIDTH_PX - MARGIN_PX - CURVE_LEFT, CURVE_HEIGHT)
    draw_small(scale.page, box, meal.servings, span)


def _draw_legend(sheet: Sheet, page: Axes, y: float) -> None:
    """Say what dots, line and ticks are, in one line."""
    x, middle = MARGIN_PX + 14.0, y - 11
    for said in ("several servings", "one", "likely range", "each"):
        if said == "likely range":
            Scale(page, x - 10, x + 50).range(0, 100, middle)
            x += 50
        elif said == "each":
            page.plot([x, x], [middle - 7, middle + 7], color=SOFT_INK, linewidth=4, solid_capstyle="butt")
        else:
            draw_dot(page, x, middle, hollow=said == "one")
        sheet.write(x + 22, y, said, SMALL, SOFT_INK)
        x += 22 + sheet.size_of(said, SMALL)[0] + 44
