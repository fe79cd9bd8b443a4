"""The picture of one meal: its curve, and where the points of its score went."""

from collections.abc import Sequence
from datetime import datetime, tzinfo

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import WINDOW_MIN
from analysis.evenness import PARTS as SCORE_PARTS
from analysis.plots.field import AFTER_MIN, BEFORE_MIN, Field, shown, span_of
from analysis.plots.labels import Box
from analysis.plots.marks import (
    EARLIER_MOST,
    LANE_PX,
    count_earlier,
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
    NOTE_PX,
    PARTS,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import name_of, plain
from analysis.points import whole_points
from analysis.results import Evenness, Serving
from analysis.units import REFERENCE_WRITTEN, write_glucose

TITLE, BODY, SMALL, SCORE = 62.0, 42.0, 38.0, 200.0
TITLE_LINE, BODY_LINE, PART_LINE = 70.0, 54.0, 76.0
FIELD_LEFT, FIELD_HEIGHT = 128.0, 560.0
BANDS = {"own repeats": "by your own servings", "published": "by published repeats"}


def draw_curve(serving: Serving, earlier: Sequence[Serving], unit: str, clock: tzinfo) -> Figure:
    """Draw one meal's curve, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    serving: the meal; without a score the reason stands in its place, without readings the field is empty.
    earlier: other servings of the same meal, drawn faintly behind.
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
    notes = [row for note in notes_of(serving) for row in ruler.wrap(plain(note), inner, SMALL, lines=3)]
    movement = moves(serving)

    subtitle_at = 90 + TITLE_LINE * len(title)
    field_top = subtitle_at + 116
    table_at = field_top + FIELD_HEIGHT + LANE_PX * len(movement)
    strip_at = table_at + 140
    strip_height = 412 if serving.evenness else 30 + BODY_LINE * (1 + len(reason))
    sheet = Sheet(round(strip_at + strip_height + NOTE_PX * len(notes) + 36))

    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 92 + TITLE_LINE * i, row, TITLE)
    sheet.write(MARGIN_PX, subtitle_at, subtitle(serving, clock), BODY, SOFT_INK)

    others = _with_readings(earlier)
    box = Box(FIELD_LEFT, field_top, WIDTH_PX - 44 - FIELD_LEFT, FIELD_HEIGHT)
    drawn = [serving, *others[-EARLIER_MOST:]]
    field = Field(sheet, box, _minutes_shown(drawn), span_of(drawn), unit)
    field.draw_glucose_scale(SMALL)
    field.draw_bite()
    for other in drawn[1:]:
        field.draw_earlier(other)
    if serving.curve:
        shade(field, serving, serving.curve)
    trace_own(field, serving)
    draw_pricks(field, serving)
    name_values(field, serving, others, SMALL)
    draw_moves(field, movement, SMALL)
    field.draw_minute_scale(table_at, SMALL, f"{serving.at.astimezone(clock):%H:%M}")

    sheet.line((MARGIN_PX, strip_at), (WIDTH_PX - MARGIN_PX, strip_at), HAIRLINE, 3)
    if serving.evenness:
        _draw_score(sheet, serving.evenness, unit, strip_at)
    else:
        for i, row in enumerate(["No score for this one.", *reason]):
            sheet.write(MARGIN_PX, strip_at + 64 + BODY_LINE * i, row, BODY, SOFT_INK if i else INK)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_curve(serving: Serving, earlier: Sequence[Serving], unit: str, clock: tzinfo) -> str:
    """Say in words what `draw_curve` shows, for those who cannot see it; same parameters."""
    parts = [f"{serving.title or serving.slot.capitalize()}. {subtitle(serving, clock)}."]
    curve = serving.curve
    if curve:
        parts.append(
            f"Glucose starts at {write_glucose(curve.baseline_mmol, unit)} {unit}, peaks at "
            f"{write_glucose(curve.peak_mmol, unit)} after {curve.minutes_to_peak:.0f} min and is "
            f"{write_glucose(curve.two_hour_mmol, unit)} at 2 h."
        )
    if serving.evenness:
        score, names = serving.evenness, part_names(unit)
        lost = ", ".join(f"{names[part]} {_minus(n)}" for part, n in whole_points(score).items())
        parts.append(f"Evenness {score.score:.0f} of 100, {_likely(score)} {BANDS[score.band_from]}: {lost}.")
    else:
        parts.append(f"No score for this one. {_reason(serving)}")
    if serving.activities:
        walks = ", ".join(name_movement(length, what) for _, length, what in serving.activities)
        parts.append(f"Movement: {walks}.")
    if others := _with_readings(earlier):
        parts.append(f"Behind it, {count_earlier(len(others))}.")
    pricks = [f"{write_glucose(g, unit)} at {minute:.0f} min" for minute, g in pricks_shown(serving)]
    if pricks:
        parts.append(f"Finger-pricks: {', '.join(pricks)}.")
    return " ".join([*parts, *(f"{note}." for note in notes_of(serving))])


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
    return f"{there:%a} {there.day} {there:%B}, {there:%H:%M}"


def part_names(unit: str) -> dict[str, str]:
    """Return what the parts of the score are called in a picture.

    >>> part_names("mg/dL")["high"]
    'above 140'
    """
    return {"rise": "rise", "area": "area", "high": f"above {REFERENCE_WRITTEN[unit]}", "dip": "dip"}


def notes_of(serving: Serving) -> list[str]:
    """Return what has to be said in words: what deserves care, what rings and dashes are."""
    notes = [f"Note: {', '.join(serving.curve.flags)}"] if serving.curve and serving.curve.flags else []
    if serving.own_mmol is not None:
        notes.append("Dashed: without the other meal. The score is of it")
    if pricks_shown(serving):
        notes.append("Rings: finger-pricks, not part of the curve")
    return notes


def _with_readings(earlier: Sequence[Serving]) -> list[Serving]:
    return [serving for serving in earlier if shown(serving.minutes).any()]


def _reason(serving: Serving) -> str:
    reason = serving.why_not.rstrip(".") or "too little was recorded"
    return f"{reason[0].upper()}{reason[1:]}."


def _minus(points: int) -> str:
    return f"−{points}" if points else "0"


def _likely(evenness: Evenness) -> str:
    return f"likely {evenness.low:.0f}–{evenness.high:.0f}"


def _minutes_shown(servings: Sequence[Serving]) -> tuple[float, float]:
    minutes = np.concatenate([[0.0, WINDOW_MIN], *(s.minutes[shown(s.minutes)] for s in servings)])
    return (BEFORE_MIN - 4 if minutes.min() < 0 else -6.0), min(AFTER_MIN, float(minutes.max())) + 4


def _draw_score(sheet: Sheet, evenness: Evenness, unit: str, top: float) -> None:
    """Draw the score large, and beside it the points lost to each part, each in its colour of the curve."""
    sheet.write(MARGIN_PX, top + 66, "evenness", BODY, SOFT_INK)
    sheet.write(MARGIN_PX - 6, top + 234, f"{evenness.score:.0f}", SCORE)
    sheet.write(MARGIN_PX, top + 290, _likely(evenness), BODY)
    sheet.write(MARGIN_PX, top + 340, BANDS[evenness.band_from], SMALL, SOFT_INK)
    sheet.write(MARGIN_PX, top + 390, "100 = flat line", SMALL, SOFT_INK)
    names, points = part_names(unit), whole_points(evenness)
    caps = {part.name: part.cap for part in SCORE_PARTS}
    bar_left = 650.0
    per_point = 280.0 / max(caps.values())  # the same in every picture, so that two of them can be compared
    for i, (part, lost) in enumerate(points.items()):
        y = top + 88 + PART_LINE * i
        sheet.write(bar_left - 24, y, names[part], BODY, side="right")
        sheet.bar(Box(bar_left, y - 34, caps[part] * per_point, 40), HAIRLINE)
        sheet.bar(Box(bar_left, y - 34, max(6.0, lost * per_point), 40), PARTS[part])
        sheet.write(bar_left + caps[part] * per_point + 20, y, _minus(lost), BODY)
