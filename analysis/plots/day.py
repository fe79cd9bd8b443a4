"""The picture of one day: its trace, and what was eaten, done, slept and synced."""

from datetime import datetime, time, timedelta, tzinfo

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import HIGH_MMOL
from analysis.plots.field import Field, Wanted, part, span_between
from analysis.plots.labels import Box
from analysis.plots.lanes import LANE_PX, count_lanes, draw_lanes
from analysis.plots.marks import name_movement
from analysis.plots.peaks import (
    draw_limits,
    draw_pressed,
    join_limits,
    name_peaks,
    say_nothing_read,
    write_limit,
)
from analysis.plots.style import (
    FAINT,
    HAIRLINE,
    HIGH,
    INK,
    MARGIN_PX,
    NOTE_PX,
    RISE,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import name_of, plain, write_minute
from analysis.results import DayTrace
from analysis.units import REFERENCE_WRITTEN, write_glucose

TITLE, BODY, SMALL = 62.0, 42.0, 38.0
FIELD_LEFT, FIELD_TOP, FIELD_HEIGHT, ROW = 148.0, 276.0, 520.0, 56.0
DAY_MIN = 1440.0
LISTED_MOST = 12
NOTED_MOST = 3
TWO_LINES_MOST = 5
NEAR_MIN = 20.0
NUMBERS_APART_PX = 14.0

Meal = tuple[float, str, str, float | None]


def draw_day(trace: DayTrace, unit: str, clock: tzinfo) -> Figure:
    """Draw one local day, 1080 px wide, to be read on a phone.

    Every meal is a plate on the table line; up to `LISTED_MOST` of them are numbered and named below, those
    with a score first and the least even of these first.

    Parameters
    ----------
    trace: the day; without readings the field is empty.
    unit: "mmol/L" or "mg/dL".
    clock: the time zone of the day, to say when its clocks changed.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    listed = choose_meals(trace.meals)
    rows = _rows(listed)
    notes = [row for note in notes_of(trace, clock) for row in Sheet(1).wrap(note, _INNER, SMALL, lines=2)]
    box = Box(FIELD_LEFT, FIELD_TOP, WIDTH_PX - MARGIN_PX - FIELD_LEFT, FIELD_HEIGHT)
    measured = Field(Sheet(1), box, (0.0, DAY_MIN), (0.0, 1.0), unit)
    lanes_top = box.bottom + (64 if trace.meals else 14)
    clock_at = lanes_top + LANE_PX * count_lanes(measured, trace, SMALL)
    list_top = clock_at + 120
    lines = sum(len(row) for row in rows) + (len(listed) < len(trace.meals))
    height = list_top + (90 if listed else 0) + ROW * lines + NOTE_PX * len(notes) + 30
    sheet = Sheet(round(height))
    sheet.write(MARGIN_PX, 92, name_day(trace), TITLE)
    sheet.write(MARGIN_PX, 158, summary(trace, unit), BODY, SOFT_INK)

    field = Field(sheet, box, (0.0, DAY_MIN), _span_of(trace), unit)
    field.draw_clock_scale(clock_at, SMALL)
    field.draw_glucose_scale(SMALL)
    _draw_gaps(field, trace)
    _draw_trace(field, trace)
    draw_pressed(field, trace)
    _draw_meals(field, trace, listed)
    draw_lanes(field, trace, lanes_top, SMALL)
    _name_values(field, trace)
    _write_list(sheet, trace, listed, rows, list_top)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


_INNER = WIDTH_PX - 2 * MARGIN_PX


def alt_day(trace: DayTrace, unit: str, clock: tzinfo) -> str:
    """Say in words what `draw_day` shows, for those who cannot see it; same parameters."""
    parts = [f"{name_day(trace)}: {summary(trace, unit)}."]
    eaten = [
        f"{write_minute(m[0])} {m[1] or m[2]}{'' if m[3] is None else f', evenness {m[3]:.0f}'}"
        for m in choose_meals(trace.meals)
    ]
    if eaten:
        more = _count_unlisted(trace)
        parts.append(f"Meals: {'; '.join([*eaten, more] if more else eaten)}.")
    if trace.activities:
        moved = [f"{write_minute(at)} {name_movement(n, what)}" for at, n, what in trace.activities]
        parts.append(f"Moved: {'; '.join(moved)}.")
    if trace.sleeps:
        parts.append(f"Slept: {', '.join(_span(*sleep) for sleep in trace.sleeps)}.")
    if trace.syncs:
        parts.append(f"Syncs: {', '.join(write_minute(m) for m in trace.syncs)}.")
    return " ".join([*parts, *(f"{note}." for note in notes_of(trace, clock))])


def name_day(trace: DayTrace) -> str:
    """Name the day: "Tuesday 3 March"."""
    return f"{trace.day_on:%A} {trace.day_on.day} {trace.day_on:%B}"


def summary(trace: DayTrace, unit: str) -> str:
    """Say how far glucose went and what was noted: "4.4 to 9.8 mmol/L · 3 meals"."""
    known = trace.mmol[np.isfinite(trace.mmol)]
    sides = {side for *_, side in join_limits(trace.limits)}
    meals = f"{len(trace.meals)} meal{'' if len(trace.meals) == 1 else 's'}"
    if not known.size:
        return f"{' and '.join(sorted(sides)) or 'no readings'} · {meals}"
    low, high = (write_glucose(float(end), unit) for end in (known.min(), known.max()))
    low, high = "LO" if "LO" in sides else low, "HI" if "HI" in sides else high
    return f"{f'{low} to {high}' if low != high else low} {unit} · {meals}"


def choose_meals(meals: tuple[Meal, ...]) -> list[Meal]:
    """Return the meals to name, in the order of time: all, or the least even first."""
    by_need = sorted(meals, key=lambda m: (m[3] is None, m[3] or 0.0, m[0]))
    return sorted(by_need[:LISTED_MOST], key=lambda m: m[0])


def notes_of(trace: DayTrace, clock: tzinfo) -> list[str]:
    """Return what has to be said in words: gaps and why, sensor changes, a change of the clocks."""
    notes = []
    longest = sorted(trace.gaps, key=lambda gap: gap[0] - gap[1])
    if longest:
        said = [f"{_span(start, end)} ({plain(why)})" for start, end, why in sorted(longest[:NOTED_MOST])]
        more = len(longest) - len(said)
        notes.append(f"No readings {', '.join(said)}{f' and {more} more times' if more else ''}")
    if trace.limits:
        beyond = [write_limit(*stretch) for stretch in join_limits(trace.limits)]
        others = f" and {len(beyond) - NOTED_MOST} more times" if len(beyond) > NOTED_MOST else ""
        notes.append(f"Out of the sensor's range: {', '.join(beyond[:NOTED_MOST])}{others}")
    if trace.pressed:
        when = _span(trace.pressed[0][0], trace.pressed[-1][0])
        notes.append(f"Small dots {when}: left out, you seem to have lain on the sensor")
    if trace.sensor_changes:
        notes.append(f"New sensor at {', '.join(write_minute(m) for m in trace.sensor_changes[:NOTED_MOST])}")
    start = datetime.combine(trace.day_on, time(), clock)
    end = datetime.combine(trace.day_on + timedelta(days=1), time(), clock)
    moved = (end.utcoffset() or timedelta()) - (start.utcoffset() or timedelta())
    if moved:
        way = "forward" if moved > timedelta() else "back"
        notes.append(f"The clocks went {way} by {abs(moved) // timedelta(minutes=1)} min on this day")
    return notes


def _span_of(trace: DayTrace) -> tuple[float, float]:
    return span_between(np.append(trace.mmol, [mmol for _, mmol in trace.pressed]))


def _span(start: float, end: float) -> str:
    return f"{write_minute(start)}–{write_minute(end)}"


def _count_unlisted(trace: DayTrace) -> str:
    more = len(trace.meals) - LISTED_MOST
    return f"and {more} more" if more > 0 else ""


def _rows(listed: list[Meal]) -> list[list[str]]:
    """Return the lines of each listed name: two at most where there are few meals, else one."""
    ruler, lines = Sheet(1), 2 if len(listed) <= TWO_LINES_MOST else 1
    return [
        ruler.wrap(name_of(title, slot), _INNER - 104 - _titles_at(listed), BODY, lines)
        for _, title, slot, _ in listed
    ]


def _draw_trace(field: Field, trace: DayTrace) -> None:
    minutes, mmol = part(trace.minutes, trace.mmol, [minute for minute, _ in trace.limits])
    fill = np.maximum(mmol, HIGH_MMOL)
    field.axes.fill_between(minutes, HIGH_MMOL, fill, color=HIGH, linewidth=0, zorder=2.6)
    few = np.count_nonzero(np.isfinite(mmol)) <= 40
    field.axes.plot(
        minutes,
        mmol,
        color=RISE,
        linewidth=6,
        solid_capstyle="round",
        marker="o" if few else None,
        markersize=14,
        zorder=6,
    )


def _draw_gaps(field: Field, trace: DayTrace) -> None:
    for start, end, _ in trace.gaps:
        field.axes.axvspan(
            start, end, facecolor=HAIRLINE, alpha=0.45, hatch="//", edgecolor=FAINT, linewidth=0, zorder=0.5
        )
    for minute in trace.sensor_changes:
        field.axes.axvline(minute, color=SOFT_INK, linewidth=3, dashes=(1, 2), zorder=2)


def _draw_meals(field: Field, trace: DayTrace, listed: list[Meal]) -> None:
    """Draw the table, a plate for each meal, a line up to the trace, and numbers where there is room."""
    sheet, box = field.sheet, field.box
    sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 4)
    known = np.isfinite(trace.mmol)
    minutes, mmol = trace.minutes[known], trace.mmol[known]
    many = len(trace.meals) > LISTED_MOST
    for minute, *_ in trace.meals:
        if minutes.size and np.abs(minutes - minute).min() <= NEAR_MIN:
            top = float(np.interp(minute, minutes, mmol))
            field.axes.plot(
                [minute] * 2, [field.y[0], top], color=INK, linewidth=2, linestyle=(0, (1, 2)), zorder=3
            )
        sheet.plate(field.across(minute), box.bottom, 18 if many else 30)
    _number_meals(field, [field.across(minute) for minute, *_ in listed])


def _number_meals(field: Field, places: list[float]) -> None:
    """Write the numbers of the listed meals under their plates; those too near to each other as "2–4"."""

    def span(group: tuple[int, int]) -> tuple[str, float, float]:
        first, last = group
        words = f"{first + 1}" if first == last else f"{first + 1}–{last + 1}"
        middle, half = (places[first] + places[last]) / 2, field.sheet.size_of(words, SMALL)[0] / 2
        return words, middle - half, middle + half

    groups: list[tuple[int, int]] = []
    for k in range(len(places)):
        groups.append((k, k))
        while len(groups) > 1 and span(groups[-1])[1] - span(groups[-2])[2] < NUMBERS_APART_PX:
            last, before = groups.pop(), groups.pop()
            groups.append((before[0], last[1]))
    for words, left, right in map(span, groups):
        field.sheet.write((left + right) / 2, field.box.bottom + 54, words, SMALL, INK, side="center")


def _name_values(field: Field, trace: DayTrace) -> None:
    """Name the highest and the lowest reading, few meals at their peaks, LO and HI, and the reference."""
    known = np.isfinite(trace.mmol)
    minutes, mmol = trace.minutes[known], trace.mmol[known]
    line = field.trace(minutes, mmol)
    reference = field.trace(np.array(field.x), np.full(2, HIGH_MMOL))
    struck = [
        field.trace(np.full(2, minute), np.array(field.y))
        for start, end, _ in trace.gaps
        for minute in np.arange(start, end, 20.0)
    ]
    struck += [field.trace(np.full(2, minute), np.array(field.y)) for minute in trace.sensor_changes]
    lines = np.concatenate([line, line, reference, *struck])
    taken: list[Box] = field.keep_off_scale(SMALL)
    beyond, arrows = draw_limits(field, trace)
    taken += arrows
    wanted: list[Wanted] = []
    if not mmol.size and not trace.limits:
        say_nothing_read(field, BODY)
        return
    ends = [int(mmol.argmax()), int(mmol.argmin())] if mmol.size else []
    if ends and mmol[ends[0]] == mmol[ends[1]]:
        ends = ends[:1]
    for end in ends:
        taken.append(field.mark(minutes[end], mmol[end], "o", 24, RISE))
        words = f"{write_glucose(mmol[end], field.unit)} at {write_minute(minutes[end])}"
        wanted.append((words, [field.at(minutes[end], mmol[end])], INK))
    middle = [field.at(minute, HIGH_MMOL) for minute in np.linspace(*field.x, 13)]
    wanted.append((f"{REFERENCE_WRITTEN[field.unit]} reference", middle, HIGH))
    field.name(wanted, taken, lines, SMALL, spare=[*beyond, *name_peaks(field, trace, SMALL)])


def _titles_at(listed: list[Meal]) -> float:
    """Return how far from the margin titles begin: behind the widest time."""
    ruler = Sheet(1)
    return max(186.0, *(64 + 24 + ruler.size_of(write_minute(meal[0]), BODY)[0] for meal in listed), 0.0)


def _write_list(sheet: Sheet, trace: DayTrace, listed: list[Meal], rows: list[list[str]], top: float) -> None:
    if not listed:
        return
    sheet.line((MARGIN_PX, top), (WIDTH_PX - MARGIN_PX, top), HAIRLINE, 3)
    scored = any(score is not None for *_, score in trace.meals)
    if scored:
        sheet.write(WIDTH_PX - MARGIN_PX, top + 56, "evenness", SMALL, SOFT_INK, side="right")
    y = top + 64 + ROW
    for number, ((minute, _, _, score), lines) in enumerate(zip(listed, rows, strict=True), 1):
        sheet.write(MARGIN_PX + 40, y, f"{number}", SMALL, SOFT_INK, side="right")
        sheet.write(MARGIN_PX + 64, y, write_minute(minute), BODY, SOFT_INK)
        if scored:
            sheet.write(WIDTH_PX - MARGIN_PX, y, "–" if score is None else f"{score:.0f}", BODY, side="right")
        for line in lines:
            sheet.write(MARGIN_PX + _titles_at(listed), y, line, BODY)
            y += ROW
    if more := _count_unlisted(trace):
        sheet.write(MARGIN_PX + _titles_at(listed), y, more, BODY, SOFT_INK)
