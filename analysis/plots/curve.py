"""The picture of one meal: its curve, and where the points of its score went."""

from collections.abc import Sequence
from datetime import datetime, tzinfo

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import WINDOW_MIN
from analysis.day_names import name_day
from analysis.plots.bar import draw_bar, height_of, likely
from analysis.plots.beyond import PRESSED_NOTE, beyond_shown
from analysis.plots.earlier import SINGLE_MOST, Group, draw_earlier, group_earlier, middle, moves_of
from analysis.plots.field import AFTER_MIN, BEFORE_MIN, Field, shown, span_between, span_most, span_of
from analysis.plots.labels import Box
from analysis.plots.marks import (
    LANE_PX,
    draw_moves,
    draw_pricks,
    moves,
    name_movement,
    name_values,
    pricks_shown,
    shade,
    trace_own,
)
from analysis.plots.style import (
    HAIRLINE,
    INK,
    MARGIN_PX,
    MOVING,
    NOTE_PX,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import name_of, plain, write_time
from analysis.points import whole_points
from analysis.results import Serving
from analysis.units import REFERENCE_WRITTEN, write_glucose

TITLE, BODY, SMALL = 62.0, 42.0, 38.0
TITLE_LINE, BODY_LINE = 70.0, 54.0
FIELD_LEFT, FIELD_HEIGHT = 128.0, 560.0


def draw_curve(serving: Serving, earlier: Sequence[Serving], unit: str, clock: tzinfo) -> Figure:
    """Draw one meal's curve, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    serving: the meal; without a score the reason stands in its place, without readings the field is empty.
    earlier: other servings of the same meal, drawn behind: up to three as single lines, more as a median and
        a band, those with movement apart; what they scored is ticked.
    unit: "mmol/L" or "mg/dL".
    clock: the time zone in which day and time are written.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    inner = WIDTH_PX - 2 * MARGIN_PX
    ruler = Sheet(1)
    title = ruler.wrap(name_of(serving.title, serving.slot), inner, TITLE, lines=2)
    reason = ruler.wrap(plain(_reason(serving)), inner, BODY, lines=3)
    notes = [
        row for note in notes_of(serving, earlier) for row in ruler.wrap(plain(note), inner, SMALL, lines=3)
    ]
    movement = moves(serving)

    subtitle_at = 90 + TITLE_LINE * len(title)
    field_top = subtitle_at + 116
    table_at = field_top + FIELD_HEIGHT + LANE_PX * len(movement)
    strip_at = table_at + 140
    scores = [(s.evenness.score, MOVING if moves_of(s) else SOFT_INK) for s in earlier if s.evenness]
    strip_height = height_of(scores) if serving.evenness else 30 + BODY_LINE * (1 + len(reason))
    sheet = Sheet(round(strip_at + strip_height + NOTE_PX * len(notes) + 36))

    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 92 + TITLE_LINE * i, row, TITLE)
    sheet.write(MARGIN_PX, subtitle_at, subtitle(serving, clock), BODY, SOFT_INK)

    groups = group_earlier(earlier)
    box = Box(FIELD_LEFT, field_top, WIDTH_PX - 44 - FIELD_LEFT, FIELD_HEIGHT)
    drawn = [serving, *(other for group in groups for other in group.servings)]
    field = Field(sheet, box, _minutes_shown(drawn), _span(serving, groups), unit)
    field.draw_glucose_scale(SMALL)
    field.draw_bite()
    for group in groups:
        draw_earlier(field, group)
    if serving.curve:
        shade(field, serving, serving.curve)
    trace_own(field, serving)
    draw_pricks(field, serving)
    name_values(field, serving, groups, SMALL)
    draw_moves(field, movement, SMALL)
    field.draw_minute_scale(table_at, SMALL, write_time(serving.at.astimezone(clock)))
    for note in serving.notes:
        if 0 < note.minute <= field.x[1]:
            sheet.plate(field.across(note.minute), table_at, 24)

    sheet.line((MARGIN_PX, strip_at), (WIDTH_PX - MARGIN_PX, strip_at), HAIRLINE, 3)
    if serving.evenness:
        draw_bar(sheet, serving.evenness, scores, part_names(unit), strip_at)
    else:
        for i, row in enumerate(["No score for this one.", *reason]):
            sheet.write(MARGIN_PX, strip_at + 64 + BODY_LINE * i, row, BODY, SOFT_INK if i else INK)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_curve(serving: Serving, earlier: Sequence[Serving], unit: str, clock: tzinfo) -> str:
    """Say in words what `draw_curve` shows, for those who cannot see it; same parameters."""
    score, curve, name = serving.evenness, serving.curve, serving.title or serving.slot.capitalize()
    if score:
        lost = ", ".join(f"{part_names(unit)[part]} {_minus(n)}" for part, n in whole_points(score).items())
        parts = [f"Evenness {score.score:.0f} of 100 ({likely(score)}): {lost}."]
    else:
        parts = [f"No score for this one. {_reason(serving)}"]
    parts.append(f"{name}. {subtitle(serving, clock)}.")
    if curve:
        parts.append(
            f"Glucose starts at {write_glucose(curve.baseline_mmol, unit)} {unit}, peaks at "
            f"{write_glucose(curve.peak_mmol, unit)} after {curve.minutes_to_peak:.0f} min and is "
            f"{write_glucose(curve.two_hour_mmol, unit)} at 2 h."
        )
    if serving.activities:
        walks = ", ".join(name_movement(length, what) for _, length, what in serving.activities)
        parts.append(f"Movement: {walks}.")
    scores = [f"{other.evenness.score:.0f}" for other in earlier if other.evenness]
    if scores:
        parts.append(f"Earlier servings scored {', '.join(scores)}.")
    if groups := group_earlier(earlier):
        parts.append(f"Behind it, {' and '.join(group.words for group in groups)}.")
    pricks = [f"{write_glucose(g, unit)} at {minute:.0f} min" for minute, g in pricks_shown(serving)]
    if pricks:
        parts.append(f"Finger-pricks: {', '.join(pricks)}.")
    return " ".join([*parts, *(f"{note}." for note in notes_of(serving, earlier))])


def subtitle(serving: Serving, clock: tzinfo) -> str:
    """Return day and time of the first bite, and the carbohydrate when it is known."""
    carbs = "" if serving.carbs_g is None else f" · {serving.carbs_g:.0f} g carbs"
    return f"{write_moment(serving.at, clock)}{carbs}"


def write_moment(at: datetime, clock: tzinfo) -> str:
    """Write an instant on the person's clock.

    >>> from datetime import UTC
    >>> write_moment(datetime(2026, 3, 2, 7, 10, tzinfo=UTC), UTC)
    'Mon 2 March, 07:10'
    """
    there = at.astimezone(clock)
    return f"{name_day(there, '%B', weekday=True)}, {write_time(there)}"


def part_names(unit: str) -> dict[str, str]:
    """Return what the parts of the score are called in a picture.

    >>> part_names("mg/dL")["high"]
    'above 140'
    """
    return {"rise": "rise", "area": "area", "high": f"above {REFERENCE_WRITTEN[unit]}", "dip": "dip"}


def notes_of(serving: Serving, earlier: Sequence[Serving]) -> list[str]:
    """Return what has to be said in words: what deserves care, what rings and dashes are."""
    notes = [f"Note: {', '.join(serving.curve.flags)}"] if serving.curve and serving.curve.flags else []
    if serving.own_mmol is not None:
        notes.append("Dashed: without the other meal. The score is of it")
    if any(BEFORE_MIN <= minute <= AFTER_MIN for minute, _ in serving.pressed):
        notes.append(PRESSED_NOTE)
    beyond = [words for words, *_ in beyond_shown(serving, (BEFORE_MIN, AFTER_MIN))]
    if beyond:
        notes.append(f"Out of the sensor's range: {', '.join(beyond)}")
    if pricks_shown(serving):
        notes.append("Rings: finger-pricks, not part of the curve")
    if any(len(group.servings) > SINGLE_MOST for group in group_earlier(earlier)):
        notes.append("Earlier servings: their median, and a band for the middle half")
    return notes


def _reason(serving: Serving) -> str:
    reason = serving.why_not.rstrip(".") or "too little was recorded"
    return f"{reason[0].upper()}{reason[1:]}."


def _minus(points: int) -> str:
    return f"−{points}" if points else "0"


def _minutes_shown(servings: Sequence[Serving]) -> tuple[float, float]:
    beyond = np.array(servings[0].limits)
    minutes = np.concatenate(
        [[0.0, WINDOW_MIN], beyond[shown(beyond)], *(s.minutes[shown(s.minutes)] for s in servings)]
    )
    return (BEFORE_MIN - 4 if minutes.min() < 0 else -6.0), min(AFTER_MIN, float(minutes.max())) + 4


def _span(serving: Serving, groups: Sequence[Group]) -> tuple[float, float]:
    """Return the glucose shown (mmol/L): of earlier servings what does not flatten the own curve."""
    singles = [s for group in groups if len(group.servings) <= SINGLE_MOST for s in group.servings]
    low, high = span_most([serving, *singles])
    own_low, own_high = span_of([serving])
    bands = [middle(group.servings)[1] for group in groups if len(group.servings) > SINGLE_MOST]
    band_low, band_high = span_between(np.concatenate([band.ravel() for band in bands] or [np.empty(0)]))
    lain, _ = span_between(np.array([mmol for minute, mmol in serving.pressed if minute >= BEFORE_MIN]))
    return min(low, own_low, band_low, lain), max(high, own_high, min(band_high, 1.4 * own_high))
