"""The picture of the average day, by the clock or from waking.

Every day is a faint line. Over them the middle half of the days stands as steps, one for each bin of the
clock, with the median through it; beneath, by the same clock, how wide the middle half is in each hour, so
that one sees where the day varies most.
"""

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import HIGH_MMOL
from analysis.day import QUARTILE_DAYS, AverageDay, DayBin
from analysis.plots.field import Field, choose, part, span_between, ticks
from analysis.plots.labels import Box
from analysis.plots.style import (
    EDGE,
    FAINT,
    HAIRLINE,
    HIGH,
    INK,
    MARGIN_PX,
    NOTE_PX,
    READABLE,
    RISE,
    SOFT_INK,
    SPREAD,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import plain, write_minute
from analysis.results import Floats
from analysis.units import REFERENCE_WRITTEN, per_mmol, write_glucose

TITLE, HEAD, BODY, SMALL = 62.0, 48.0, 42.0, 38.0
HEAD_LINE = 54.0
FIELD_LEFT, FIELD_HEIGHT, WIDTHS_HEIGHT, BETWEEN = 128.0, 560.0, 220.0, 150.0
DAY_MIN = 1440.0
LEAST_WIDTH_MMOL = 1.0
"""The scale of the widths reaches at least this far, so that small ones look small."""
DRAWN_MOST = 60
"""Of more days than this, as many are drawn as faint lines, evenly chosen."""

Write = Callable[[float], str]
Lines = Sequence[tuple[Floats, Floats]]
"""Each day's line: minutes of the local day and mmol/L, both shape (n,), sorted."""


def draw_average(
    day: AverageDay, days: Lines, unit: str, title: str, tag: str = "all", *, waking: bool = False
) -> Figure:
    """Draw the average day, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    day: as `analysis.day.average_day` gives it.
    days: the line of each day that went into it.
    unit: "mmol/L" or "mg/dL".
    title: what days these are.
    tag: which of its tags to draw.
    waking: the minutes of the day are those since waking (`analysis.waking`), not the clock's.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    rows = Sheet(1).wrap(plain(title), WIDTH_PX - 2 * MARGIN_PX, TITLE, lines=2)
    top = 92 + 70.0 * (len(rows) - 1)
    box = Box(FIELD_LEFT, top + 184, WIDTH_PX - MARGIN_PX - FIELD_LEFT, FIELD_HEIGHT)
    notes = _explain(day, (tag,))
    sheet = Sheet(round(box.bottom + BETWEEN + WIDTHS_HEIGHT + 100 + NOTE_PX * len(notes)))
    _write_title(sheet, rows)
    sheet.write(MARGIN_PX, top + 66, count_days(day, tag), BODY, SOFT_INK)
    field = Field(sheet, box, (0.0, DAY_MIN), _span(days), unit)
    write = write_since if waking else write_minute
    _draw_scale(field, waking=waking)
    field.draw_glucose_scale(SMALL)
    bins = day.bins.get(tag, ())
    _draw_days(field, bins, days, day.bin_min)
    _name_parts(field, bins, days, day.bin_min, write)
    widths = widths_by_hour(bins)
    lower = _widths_field(sheet, box, widths, unit)
    sheet.write(MARGIN_PX, lower.box.top - 24, f"width of the middle half, {unit}", SMALL, SOFT_INK)
    _draw_widths(lower, widths, day.widest.get(tag), write)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_average(
    day: AverageDay, days: Lines, unit: str, title: str, tag: str = "all", *, waking: bool = False
) -> str:
    """Say in words what `draw_average` shows, for those who cannot see it; same parameters."""
    return f"{title}: {_tell(day, tag, unit, write_since if waking else write_minute)}"


def count_days(day: AverageDay, tag: str) -> str:
    """Count the days of a tag: "14 days"."""
    n = day.days.get(tag, 0)
    return f"{n} day{'' if n == 1 else 's'}"


def write_since(minute: float) -> str:
    """Write a time since waking.

    >>> write_since(195), write_since(0)
    ('3 h 15 after waking', 'waking')
    """
    return f"{int(minute) // 60} h {int(minute) % 60:02d} after waking" if minute else "waking"


def widths_by_hour(bins: Sequence[DayBin]) -> dict[int, float]:
    """Return the mean width of the middle half (mmol/L) by the minute at which each hour begins.

    >>> first = DayBin(0, 5.0, 4.8, 5.4, None, None, 40, 5)
    >>> {hour: round(width, 3) for hour, width in widths_by_hour([first]).items()}
    {0: 0.6}
    """
    found: dict[int, list[float]] = {}
    for b in bins:
        if b.p25 is not None and b.p75 is not None:
            found.setdefault(b.minute // 60 * 60, []).append(b.p75 - b.p25)
    return {hour: sum(widths) / len(widths) for hour, widths in found.items()}


def _tell(day: AverageDay, tag: str, unit: str, write: Write) -> str:
    bins = day.bins.get(tag, ())
    said = [count_days(day, tag)]
    if bins:
        low, high = (end(bins, key=lambda b: b.median) for end in (min, max))
        lowest = f"{write_glucose(low.median, unit)} {unit} at {write(low.minute)}"
        if low.median < high.median:
            highest = f"{write_glucose(high.median, unit)} at {write(high.minute)}"
            said.append(f"the median goes from {lowest} to {highest}")
        else:
            said.append(f"the median is {lowest}" if len(bins) == 1 else f"the median is level, {lowest}")
    widths = widths_by_hour(bins)
    hour = day.widest.get(tag)
    if hour is not None and hour in widths:
        said.append(f"it varies most {_widest(widths, hour, unit, write)} {unit}")
    elif not widths:
        said.append(f"no middle half yet, which takes {QUARTILE_DAYS} days")
    return f"{'; '.join(said)}."


def _widest(widths: Mapping[int, float], hour: int, unit: str, write: Write) -> str:
    when = f"{write(hour)}–{write(hour + 60)}"
    if write is write_since:
        when = f"{hour // 60}–{hour // 60 + 1} h after waking"
    return f"{when}, {write_glucose(widths[hour], unit)}"


def _explain(day: AverageDay, tags: Sequence[str]) -> list[str]:
    drawn = "each day" if all(day.days.get(tag, 0) <= DRAWN_MOST for tag in tags) else "some of the days"
    if any(widths_by_hour(day.bins.get(tag, ())) for tag in tags):
        return [
            "Thick line: the median, as many days above as below.",
            f"Pale steps: the middle half of the days. Faint: {drawn}.",
        ]
    return [f"Thick line: the median. Faint lines: {drawn}.", f"The middle half takes {QUARTILE_DAYS} days."]


def _draw_scale(field: Field, *, waking: bool) -> None:
    if not waking:
        field.draw_clock_scale(field.box.bottom, SMALL)
        return
    for hour in range(0, 25, 4):
        x = field.across(60 * hour)
        field.axes.axvline(60 * hour, color=HAIRLINE, linewidth=1.5, zorder=1)
        words = f"{hour} h" if hour else "waking"
        field.sheet.write(x, field.box.bottom + SMALL + 4, words, SMALL, SOFT_INK, side="center")


def _write_title(sheet: Sheet, rows: Sequence[str]) -> None:
    for i, row in enumerate(rows):
        sheet.write(MARGIN_PX, 92 + 70 * i, row, TITLE)


def _span(days: Lines) -> tuple[float, float]:
    return span_between(np.concatenate([mmol for _, mmol in days]) if days else np.empty(0))


def stretches(bins: Sequence[DayBin], bin_min: int) -> list[list[DayBin]]:
    """Part bins where one of the clock is missing."""
    stretches: list[list[DayBin]] = []
    for b in bins:
        if stretches and b.minute - stretches[-1][-1].minute == bin_min:
            stretches[-1].append(b)
        else:
            stretches.append([b])
    return stretches


def _draw_days(field: Field, bins: Sequence[DayBin], days: Lines, bin_min: int) -> None:
    for minutes, mmol in choose(days, DRAWN_MOST):
        field.axes.plot(*part(minutes, mmol), color=FAINT, linewidth=1.5, solid_capstyle="round", zorder=3)
    known = [b for b in bins if b.p25 is not None and b.p75 is not None]
    field.axes.bar(
        [b.minute for b in known],
        [b.p75 - b.p25 for b in known if b.p75 is not None and b.p25 is not None],
        width=bin_min,
        bottom=[b.p25 for b in known if b.p25 is not None],
        align="edge",
        color=SPREAD,
        alpha=0.85,
        linewidth=0,
        zorder=4,
    )
    for stretch in stretches(known, bin_min):
        edges = [*(b.minute for b in stretch), stretch[-1].minute + bin_min]
        for ends in np.array([(b.p25, b.p75) for b in stretch], dtype=np.float64).T:
            field.axes.stairs(ends, edges, baseline=None, color=EDGE, linewidth=2.5, zorder=5)
    for stretch in stretches(bins, bin_min):
        middles = [b.minute + bin_min / 2 for b in stretch]
        alone = len(stretch) == 1
        field.axes.plot(
            middles,
            [b.median for b in stretch],
            color=RISE,
            linewidth=7,
            solid_capstyle="round",
            marker="o" if alone else None,
            markersize=16,
            zorder=6,
            label=READABLE,
        )
    box = field.box
    field.sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 4)


def _name_parts(field: Field, bins: Sequence[DayBin], days: Lines, bin_min: int, write: Write) -> None:
    """Name the reference and, at its highest, the median."""
    medians = field.trace(
        np.array([b.minute + bin_min / 2 for b in bins]), np.array([b.median for b in bins])
    )
    reference = field.trace(np.array(field.x), np.full(2, HIGH_MMOL))
    chosen = choose(days, DRAWN_MOST)
    thin = 2 + len(chosen) // 4  # so that many days weigh no more than few
    lines = [medians, medians, reference, *(field.trace(minutes, mmol)[::thin] for minutes, mmol in chosen)]
    taken = field.keep_off_scale(SMALL)
    wanted = []
    if bins:
        top = max(bins, key=lambda b: b.median)
        anchor = (top.minute + bin_min / 2, top.median)
        taken.append(field.mark(*anchor, "o", 24, RISE))
        said = f"median {write_glucose(top.median, field.unit)} at {write(top.minute)}"
        wanted.append((said, [field.at(*anchor)], INK))
    middle = [field.at(minute, HIGH_MMOL) for minute in np.linspace(*field.x, 13)]
    wanted.append((f"{REFERENCE_WRITTEN[field.unit]} reference", middle, HIGH))
    field.name(wanted, taken, np.concatenate(lines), SMALL)


def _widths_field(
    sheet: Sheet, above: Box, widths: Mapping[int, float], unit: str, written: bool = True
) -> Field:
    """Make room for the widths under a field, with their own scale from 0 on."""
    box = Box(above.left, above.bottom + BETWEEN, above.width, WIDTHS_HEIGHT)
    field = Field(sheet, box, (0.0, DAY_MIN), (0.0, 1.35 * max([LEAST_WIDTH_MMOL, *widths.values()])), unit)
    for value in ticks(*field.y, unit, at_most=4):
        mmol = value / per_mmol(unit)
        field.axes.axhline(mmol, color=HAIRLINE, linewidth=1.5, zorder=1)
        if written:
            y = field.at(0, mmol)[1] + SMALL * 0.33
            sheet.write(box.left - 14, y, f"{value:.0f}", SMALL, SOFT_INK, side="right")
    sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 3)
    return field


def _draw_widths(field: Field, widths: Mapping[int, float], widest: int | None, write: Write) -> None:
    """Stand the width of each hour on the table; the widest, where it is sure which, dark and named."""
    if not widths:
        said = f"from {QUARTILE_DAYS} days on"
        field.sheet.write(field.box.left + 24, field.box.bottom - 40, said, SMALL, SOFT_INK, halo=True)
        return
    field.axes.bar(
        [hour + 6 for hour in widths],
        list(widths.values()),
        width=48,
        align="edge",
        color=[RISE if hour == widest else EDGE for hour in widths],
        linewidth=0,
        zorder=4,
    )
    if widest in widths:
        assert widest is not None
        words = f"widest {_widest(widths, widest, field.unit, write)}"
        wide = field.sheet.size_of(words, SMALL)[0]
        x, y = field.at(widest + 30, widths[widest])
        x = min(max(x - wide / 2, field.box.left + 8), field.box.right - wide)
        field.sheet.write(x, y - 14, words, SMALL, INK, halo=True)
