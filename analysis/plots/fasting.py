"""The picture of fasting glucose over a run of days.

Each sensor has its own mean, drawn as a line over its days with its interval as a band; the trend is a figure
under the picture, since its slope through each sensor would say less than the days do.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import groupby

import numpy as np
from matplotlib.figure import Figure

from analysis.day_names import name_day
from analysis.fasting import TREND_DAYS, Fasting, FastingDay
from analysis.plots.field import Field
from analysis.plots.labels import Box
from analysis.plots.style import (
    FAINT,
    HAIRLINE,
    INK,
    MARGIN_PX,
    NOTE_PX,
    PAPER,
    RISE,
    SOFT_INK,
    SPREAD,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import write_days
from analysis.units import per_mmol, write_glucose

TITLE, BODY, SMALL = 62.0, 42.0, 38.0
FIELD_LEFT, FIELD_TOP, FIELD_HEIGHT, ROW = 128.0, 290.0, 560.0, 60.0
LEAST_MMOL = 3.0
"""The scale reaches over at least this much, so that small changes look small."""
LABELS_MOST = 5
CONNECTED_MOST = 45
NAMED_MOST = 3


def draw_fasting(fasting: Fasting, unit: str) -> Figure:
    """Draw fasting values by the day, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    fasting: as `analysis.fasting.describe_fasting` gives it, three days or more.
    unit: "mmol/L" or "mg/dL".

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    box = Box(FIELD_LEFT, FIELD_TOP, WIDTH_PX - MARGIN_PX - FIELD_LEFT, FIELD_HEIGHT)
    table_top = box.bottom + 110
    table, notes = measures_of(fasting, unit), notes_of(fasting)
    written = [
        line for note in notes for line in Sheet(1).wrap(note, WIDTH_PX - 2 * MARGIN_PX, SMALL, lines=2)
    ]
    sheet = Sheet(round(table_top + 30 + ROW * len(table) + NOTE_PX * len(written) + 30))
    sheet.write(MARGIN_PX, 92, "Fasting glucose", TITLE)
    sheet.write(MARGIN_PX, 158, name_run(fasting), BODY, SOFT_INK)
    first, last = fasting.values[0].day_on, fasting.values[-1].day_on
    room = max(0.5, 0.03 * (last - first).days)
    field = Field(
        sheet, box, (first.toordinal() - room, last.toordinal() + room), span_of_days(fasting), unit
    )
    field.draw_glucose_scale(SMALL, reference=False)
    _draw_dates(field, first, last)
    _draw_levels(field, fasting)
    _draw_days(field, fasting)
    _name_changes(field, fasting)
    sheet.line((MARGIN_PX, table_top), (WIDTH_PX - MARGIN_PX, table_top), HAIRLINE, 3)
    for k, (name, value) in enumerate(table, 1):
        sheet.write(MARGIN_PX, table_top + ROW * k + 6, name, BODY, SOFT_INK)
        sheet.write(WIDTH_PX - MARGIN_PX, table_top + ROW * k + 6, value, BODY, side="right")
    sheet.write_notes(written, SMALL)
    return sheet.figure


def alt_fasting(fasting: Fasting, unit: str) -> str:
    """Say in words what `draw_fasting` shows, for those who cannot see it; same parameters."""
    lowest, highest = (end(fasting.values, key=lambda v: v.mmol) for end in (min, max))
    measured = "; ".join(f"{name} {value}" for name, value in measures_of(fasting, unit))
    return " ".join(
        [
            f"Fasting glucose: {measured}. {name_run(fasting)}, from {write_glucose(lowest.mmol, unit)} to "
            f"{write_glucose(highest.mmol, unit)} {unit}.",
            *notes_of(fasting),
        ]
    )


def name_run(fasting: Fasting) -> str:
    """Name the days: "24 days, 2 to 29 March"."""
    return f"{fasting.days} days, {write_days(fasting.values[0].day_on, fasting.values[-1].day_on)}"


def write_day(day: date) -> str:
    """Write a day short.

    >>> write_day(date(2026, 3, 2))
    '2 Mar'
    """
    return name_day(day)


def measures_of(fasting: Fasting, unit: str) -> list[tuple[str, str]]:
    """Return the rows under the picture: what is measured, and its value with its unit."""
    rows = [("mean", f"{write_glucose(fasting.mean_mmol, unit)} {unit}")]
    if fasting.trend is None:
        return [*rows, ("trend", f"{fasting.days} of {TREND_DAYS} days so far")]
    estimate, low, high = (
        _signed(g, unit) for g in (fasting.trend.estimate, fasting.trend.low, fasting.trend.high)
    )
    return [*rows, ("trend a week", f"{estimate} {unit}"), ("likely", f"{low} to {high} {unit}")]


def notes_of(fasting: Fasting) -> list[str]:
    """Say what the band is, whether there is a trend, what a sensor does, and how many days have no value."""
    whose = "the mean" if len(fasting.slope.levels) == 1 else "each sensor's mean"
    notes = [f"Band: where {whose} likely lies."]
    if fasting.trend is not None:
        if not fasting.trend.moves:
            notes.append("No trend at all would fit it, too.")
        elif fasting.trend.one_sensor:
            notes.append("One sensor only: its drift would look like a trend.")
    if len(fasting.sensor_changes) > NAMED_MOST:
        notes.append("Dotted: new sensors.")
    if fasting.stepped_on is not None:
        notes.append(f"Another level from {write_day(fasting.stepped_on)} on: a new sensor?")
    if n := len(_left_out(fasting)):
        notes.append(f"Small ticks: {n} more day{'' if n == 1 else 's'} with meals, without a value.")
    return notes


def span_of_days(fasting: Fasting) -> tuple[float, float]:
    """Return the lowest and highest glucose (mmol/L) to show, at least `LEAST_MMOL` apart.

    The values lie in the middle.
    """
    values = [v.mmol for v in fasting.values]
    middle, half = (min(values) + max(values)) / 2, 0.62 * (max(values) - min(values))
    half = max(half, LEAST_MMOL / 2)
    return middle - half, middle + half


def _signed(mmol: float, unit: str) -> str:
    """Write a change with its sign, one digit finer than a value."""
    value = mmol * per_mmol(unit)
    written = f"{value:+.2f}" if unit == "mmol/L" else f"{value:+.1f}"
    return written.replace("-", "−") if float(written) else written.lstrip("+-")


def _draw_dates(field: Field, first: date, last: date) -> None:
    """Write days under the table, as many as have room, evenly spaced."""
    box, days = field.box, (last - first).days
    field.sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 4)
    step = max(1, -(-days // (LABELS_MOST - 1)))
    if step > 4:
        step = 7 * -(-step // 7)
    for offset in range(0, days + 1, step):
        day = first + timedelta(days=offset)
        x = field.across(day.toordinal())
        field.sheet.line((x, box.bottom), (x, box.bottom + 14), INK, 3)
        words = write_day(day)
        half = field.sheet.size_of(words, SMALL)[0] / 2
        x = min(max(x, box.left - 40 + half), box.right + 40 - half)
        field.sheet.write(x, box.bottom + 60, words, SMALL, SOFT_INK, side="center")


def _left_out(fasting: Fasting) -> list[date]:
    """Return the days without a value among those shown."""
    first, last = fasting.values[0].day_on, fasting.values[-1].day_on
    return [day for day in fasting.left_out if first <= day <= last]


def _runs(values: Sequence[FastingDay]) -> list[list[FastingDay]]:
    return [list(run) for _, run in groupby(values, key=lambda v: v.sensor)]


def _draw_levels(field: Field, fasting: Fasting) -> None:
    """Draw each sensor's mean over its days and the band of its interval."""
    levels = {level.sensor: level for level in fasting.slope.levels}
    for run in _runs(fasting.values):
        level = levels.get(run[0].sensor)
        if level is None or len(run) < 2:
            continue
        x = np.array([run[0].day_on.toordinal() - 0.4, run[-1].day_on.toordinal() + 0.4])
        field.axes.fill_between(x, level.low, level.high, color=SPREAD, alpha=0.8, linewidth=0, zorder=2)
        field.axes.plot(x, np.full(2, level.mean), color=RISE, linewidth=6, zorder=4)


def _draw_days(field: Field, fasting: Fasting) -> None:
    for run in _runs(fasting.values):
        days, mmol = [float(v.day_on.toordinal()) for v in run], [v.mmol for v in run]
        if fasting.days <= CONNECTED_MOST:
            field.axes.plot(days, mmol, color=FAINT, linewidth=2.5, zorder=3)
        size = 20 if fasting.days <= CONNECTED_MOST else 11
        field.axes.plot(
            days, mmol, "o", color=INK, markersize=size, markeredgecolor=PAPER, markeredgewidth=2, zorder=5
        )
    for day in _left_out(fasting):
        x = field.across(day.toordinal())
        field.sheet.line((x, field.box.bottom - 22), (x, field.box.bottom), SOFT_INK, 3)


def _name_changes(field: Field, fasting: Fasting) -> None:
    """Draw a dotted line before the first day of each new sensor; where they are few, one is named."""
    days = np.array([float(v.day_on.toordinal()) for v in fasting.values])
    values = field.trace(days, np.array([v.mmol for v in fasting.values]))
    for change in fasting.sensor_changes:
        x = change.toordinal() - 0.5
        few = len(fasting.sensor_changes) <= NAMED_MOST
        field.axes.axvline(x, color=SOFT_INK if few else FAINT, linewidth=3, dashes=(1, 2), zorder=1.5)
    if not 1 <= len(fasting.sensor_changes) <= NAMED_MOST:
        return
    x = fasting.sensor_changes[0].toordinal() - 0.5
    anchors = [field.at(x, y) for y in np.linspace(*field.y, 9)]
    line = field.trace(np.full(2, x), np.array(field.y))
    lines = np.concatenate([values, values, line])
    field.name([("new sensor", anchors, SOFT_INK)], field.keep_off_scale(SMALL), lines, SMALL, gap=14)
