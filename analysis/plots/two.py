"""The picture of two kinds of day: their medians over each other, and the hours in which they part.

The median of each kind goes over the middle half of its days. Hours in which the two part by more than chance
does (`analysis.parting`) are a bar on the clock's line; the title's second line says which, or that there is
none.
"""

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from analysis.curves import HIGH_MMOL
from analysis.day import AverageDay, DayBin
from analysis.parting import NEED_DAYS, join_hours
from analysis.plots.average import DAY_MIN, count_days, stretches
from analysis.plots.field import Field, span_between
from analysis.plots.labels import Box
from analysis.plots.style import (
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
from analysis.plots.text import plain, write_minute
from analysis.units import REFERENCE_WRITTEN, write_glucose

TITLE, HEAD, BODY, SMALL = 62.0, 48.0, 42.0, 38.0
FIELD_LEFT, FIELD_HEIGHT, ROW = 128.0, 620.0, 62.0
COLORS = (RISE, SECOND)
DASHES = ((1.0, 0.0), (2.2, 0.9))
APART_PX = 18.0
RANGES_MOST = 2
_INNER = WIDTH_PX - 2 * MARGIN_PX


def draw_two(day: AverageDay, unit: str, title: str, tags: tuple[str, str]) -> Figure:
    """Draw two kinds of day over each other, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    day: as `analysis.day.average_day` gives it, with these tags.
    unit: "mmol/L" or "mg/dL".
    title: what the picture is about.
    tags: which two to draw, such as ("weekday", "weekend"); they are also their names.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    ruler = Sheet(1)
    titles, said = (
        ruler.wrap(plain(title), _INNER, TITLE, 2),
        ruler.wrap(tell_apart(day, tags), _INNER, HEAD, 2),
    )
    said_top = 92 + 70.0 * (len(titles) - 1) + 76
    names_top = said_top + 60 * (len(said) - 1) + 84
    notes = notes_of(day, tags)
    box = Box(FIELD_LEFT, names_top + ROW + 120, WIDTH_PX - MARGIN_PX - FIELD_LEFT, FIELD_HEIGHT)
    sheet = Sheet(round(box.bottom + 104 + NOTE_PX * len(notes)))
    for i, row in enumerate(titles):
        sheet.write(MARGIN_PX, 92 + 70 * i, row, TITLE)
    for i, row in enumerate(said):
        sheet.write(MARGIN_PX, said_top + 60 * i, row, HEAD)
    _write_names(sheet, day, tags, names_top)
    bins = [day.bins.get(tag, ()) for tag in tags]
    field = Field(sheet, box, (0.0, DAY_MIN), _span(bins), unit)
    field.draw_clock_scale(box.bottom, SMALL)
    field.draw_glucose_scale(SMALL)
    for k in (1, 0):
        _draw_kind(field, bins[k], day.bin_min, k)
    _draw_apart(field, day)
    _name_reference(field, bins, day.bin_min)
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_two(day: AverageDay, unit: str, title: str, tags: tuple[str, str]) -> str:
    """Say in words what `draw_two` shows, for those who cannot see it; same parameters."""
    said = [f"{tell_apart(day, tags)}."]
    if day.apart:
        most = max(day.apart, key=lambda minute: abs(day.apart[minute]))
        higher = sorted(tags)[0 if day.apart[most] > 0 else 1]
        said.append(
            f"Most from {write_minute(most)} to {write_minute(most + 60)}, where the mean of {higher} is "
            f"{write_glucose(abs(day.apart[most]), unit)} {unit} higher."
        )
    return " ".join([*said, f"{title}: {'; '.join(_tell(day, tag, unit) for tag in tags)}."])


def _tell(day: AverageDay, tag: str, unit: str) -> str:
    bins, said = day.bins.get(tag, ()), f"{tag}, {count_days(day, tag)}"
    if not bins:
        return said
    low, high = (end(bins, key=lambda b: b.median) for end in (min, max))
    lowest = f"{write_minute(low.minute)} ({write_glucose(low.median, unit)} {unit})"
    highest = f"{write_minute(high.minute)} ({write_glucose(high.median, unit)})"
    return f"{said}, the median lowest at {lowest} and highest at {highest}"


def tell_apart(day: AverageDay, tags: tuple[str, str]) -> str:
    """Say when two kinds of day part beyond chance, or that they do not, or that it is too early to tell."""
    if any(day.days.get(tag, 0) < NEED_DAYS for tag in tags):
        return f"Too early to tell them apart: that takes {NEED_DAYS} days of each"
    if not day.apart:
        return "No hour in which they part beyond chance"
    ranges = join_hours(day.apart)
    if len(ranges) > RANGES_MOST:
        most = max(day.apart, key=lambda minute: abs(day.apart[minute]))
        return f"They part beyond chance in {len(day.apart)} hours, most around {write_minute(most)}"
    said = " and ".join(f"from {write_minute(start)} to {write_minute(end)}" for start, end in ranges)
    return f"They part beyond chance {said}"


def notes_of(day: AverageDay, tags: tuple[str, str]) -> list[str]:
    """Say what lines, bands and bars are."""
    bands = any(b.p25 is not None for tag in tags for b in day.bins.get(tag, ()))
    notes = ["Lines: the median of each kind." + (" Bands: half of its days." if bands else "")]
    if day.apart:
        notes.append("Bar on the clock: hours that part beyond chance.")
    return notes


def _write_names(sheet: Sheet, day: AverageDay, tags: tuple[str, str], top: float) -> None:
    """Write both names with a piece of their line and how many days they have."""
    for k, tag in enumerate(tags):
        y = top + ROW * k
        line = sheet.line((MARGIN_PX, y - 14), (MARGIN_PX + 84, y - 14), COLORS[k], 8)
        if k:
            line.set_linestyle((0, DASHES[k]))
        count = count_days(day, tag)
        room = _INNER - 108 - sheet.size_of(f" · {count}", BODY)[0]
        name = sheet.wrap(plain(tag) or f"{k + 1}", room, BODY)[0]
        sheet.write(MARGIN_PX + 108, y, name, BODY, COLORS[k])
        x = MARGIN_PX + 108 + sheet.size_of(name, BODY)[0]
        sheet.write(x, y, f"  ·  {count}", BODY, SOFT_INK)


def _span(bins: Sequence[Sequence[DayBin]]) -> tuple[float, float]:
    drawn = [value for of_tag in bins for b in of_tag for value in (b.median, b.p25, b.p75)]
    return span_between(np.array([value for value in drawn if value is not None], dtype=np.float64))


def _draw_kind(field: Field, bins: Sequence[DayBin], bin_min: int, k: int) -> None:
    """Draw the median of one kind of day over the middle half of its days, parted where there is nothing."""
    for stretch in stretches(bins, bin_min):
        middles = np.array([b.minute + bin_min / 2 for b in stretch])
        if len(stretch) > 1:
            low, high = (
                np.array([np.nan if v is None else v for v in of], dtype=np.float64)
                for of in ([b.p25 for b in stretch], [b.p75 for b in stretch])
            )
            field.axes.fill_between(middles, low, high, color=COLORS[k], alpha=0.17, linewidth=0, zorder=3)
        field.axes.plot(
            middles,
            [b.median for b in stretch],
            color=COLORS[k],
            linewidth=7,
            linestyle=(0, DASHES[k]) if k else "-",
            dash_capstyle="butt",
            marker="o" if len(stretch) == 1 else None,
            markersize=16,
            zorder=6 - k,
        )


def _draw_apart(field: Field, day: AverageDay) -> None:
    """Draw the table, and on it a bar over the hours that part beyond chance."""
    box = field.box
    field.sheet.line((box.left, box.bottom), (box.right, box.bottom), INK, 4)
    for start, end in join_hours(day.apart):
        left, right = field.across(start), field.across(end)
        field.sheet.bar(Box(left, box.bottom - APART_PX / 2, right - left, APART_PX), INK)
        for x in (left, right):
            edge = field.axes.axvline(
                (x - box.left) / box.width * DAY_MIN, color=INK, linewidth=2, zorder=1.5
            )
            edge.set_linestyle((0, (1, 3)))


def _name_reference(field: Field, bins: Sequence[Sequence[DayBin]], bin_min: int) -> None:
    lines = [
        field.trace(np.array([b.minute + bin_min / 2 for b in of]), np.array([b.median for b in of]))
        for of in bins
        if of
    ]
    lines.append(field.trace(np.array(field.x), np.full(2, HIGH_MMOL)))
    middle = [field.at(minute, HIGH_MMOL) for minute in np.linspace(*field.x, 25)]
    words = f"{REFERENCE_WRITTEN[field.unit]} reference"
    field.name([(words, middle, HIGH)], field.keep_off_scale(SMALL), np.concatenate(lines), SMALL)
