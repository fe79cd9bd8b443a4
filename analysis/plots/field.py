"""The field that curves are drawn in: glucose against minutes from the first bite."""

from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from analysis.curves import HIGH_MMOL
from analysis.plots.labels import LABELS_APART_PX, Box, has_room, place
from analysis.plots.style import (
    HAIRLINE,
    HIGH,
    INK,
    MARGIN_PX,
    PAPER,
    SOFT_INK,
    Sheet,
)
from analysis.plots.text import write_hour
from analysis.results import Floats, Serving
from analysis.units import per_mmol

# Most meals of most people fit in here, so most pictures share one scale and can be compared by eye.
USUAL_MMOL = (3.5, 10.4)
BEFORE_MIN, AFTER_MIN = -30.0, 150.0
FAR_PX = 80.0
"""A spare label farther from what it names would name something else."""

Kind = TypeVar("Kind")
Wanted = tuple[str, Sequence[tuple[float, float]], str]
"""A label that is wanted: its words, the points it may stand beside (px), its colour."""


def choose(many: Sequence[Kind], most: int) -> Sequence[Kind]:
    """Return at most so many of a sequence, evenly chosen, the first and the last among them.

    >>> choose([0, 1, 2, 3, 4, 5, 6], 3), choose([0, 1], 3)
    ([0, 3, 6], [0, 1])
    """
    if len(many) <= most:
        return many
    return [many[k] for k in np.linspace(0, len(many) - 1, most).round().astype(int)]


def shown(minutes: Floats) -> NDArray[np.bool_]:
    """Say which readings lie in the time that pictures show (30 min before to 150 min after the bite)."""
    return (minutes >= BEFORE_MIN) & (minutes <= AFTER_MIN)


def span_of(servings: Sequence[Serving]) -> tuple[float, float]:
    """Return the lowest and highest glucose (mmol/L) to show for these servings.

    >>> span_of([])
    (3.5, 10.4)
    """
    values = [s.mmol[shown(s.minutes)] for s in servings]
    values += [
        np.array([mmol for minute, mmol in s.pricks if BEFORE_MIN <= minute <= AFTER_MIN]) for s in servings
    ]
    return span_between(np.concatenate(values) if values else np.empty(0))


def span_between(mmol: Floats) -> tuple[float, float]:
    """Return the lowest and highest glucose (mmol/L) to show for these values; NaN are left out.

    >>> span_between(np.array([5.0, np.nan, 20.0]))
    (3.5, 22.0)
    """
    values = mmol[np.isfinite(mmol)]
    low, high = USUAL_MMOL
    if values.size:
        low, high = min(low, float(values.min()) - 0.5), max(high, float(values.max()) * 1.1)
    return low, high


def span_most(servings: Sequence[Serving]) -> tuple[float, float]:
    """Return the lowest and highest glucose (mmol/L) to show so that one extreme serving flattens no other.

    Nine tenths of the servings fit in with their highest values, and higher ones up to 1.6 times as far above
    5 mmol/L as these; what is higher still is to be cut.
    """
    low, high = span_of(servings)
    tops = sorted(float(np.nanmax(s.mmol[shown(s.minutes)])) for s in servings if shown(s.minutes).any())
    if tops:
        usual = tops[int(0.9 * (len(tops) - 1))]
        high = min(high, max(USUAL_MMOL[1], 5.0 + 1.6 * (usual - 5.0)))
    return low, high


def ticks(low: float, high: float, unit: str, at_most: int = 6) -> list[float]:
    """Return round values in the person's unit between `low` and `high` (mmol/L).

    >>> ticks(3.5, 9.5, "mmol/L"), ticks(3.5, 9.5, "mg/dL")
    ([4.0, 5.0, 6.0, 7.0, 8.0, 9.0], [80.0, 100.0, 120.0, 140.0, 160.0])
    """
    factor = per_mmol(unit)
    for step in (1, 2, 5, 10, 20, 50, 100, 200, 500):
        first = np.ceil(low * factor / step) * step
        values = [float(v) for v in np.arange(first, high * factor + 1e-9, step)]
        if len(values) <= at_most:
            return values
    raise ValueError(f"a span from {low} to {high} mmol/L cannot be drawn")


def joined(serving: Serving) -> tuple[Floats, Floats]:
    """Return a serving's readings in the time shown, parted where there is a long gap."""
    inside = shown(serving.minutes)
    return part(serving.minutes[inside], serving.mmol[inside], serving.limits)


def part(minutes: Floats, mmol: Floats, limits: Sequence[float] = ()) -> tuple[Floats, Floats]:
    """Return readings with a NaN in each long gap so that no line crosses it.

    A gap is long when it lasts over 20 minutes and over 2.5 times the usual step, or holds one of the
    `limits`, the minutes at which the sensor was out of its range.

    >>> part(np.array([0.0, 5, 10, 45]), np.array([5.0, 5, 6, 6]))[0].tolist()
    [0.0, 5.0, 10.0, nan, 45.0]
    """
    if minutes.size < 3:
        return part_at(minutes, mmol, limits)
    steps = np.diff(minutes)
    long = steps > max(20.0, 2.5 * float(np.median(steps)))
    return _part_where(minutes, mmol, long | _hold(minutes, limits))


def part_at(minutes: Floats, mmol: Floats, limits: Sequence[float]) -> tuple[Floats, Floats]:
    """Return readings with a NaN between two that have one of the `limits` between them.

    >>> part_at(np.array([0.0, 5, 15]), np.array([5.0, 5, 6]), [10.0])[0].tolist()
    [0.0, 5.0, nan, 15.0]
    """
    return _part_where(minutes, mmol, _hold(minutes, limits)) if minutes.size > 1 else (minutes, mmol)


def _hold(minutes: Floats, limits: Sequence[float]) -> NDArray[np.bool_]:
    """Say which steps between readings hold one of the limits."""
    held: NDArray[np.bool_] = np.histogram(limits, minutes)[0] > 0
    return held


def _part_where(minutes: Floats, mmol: Floats, steps: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    places = np.flatnonzero(steps) + 1
    return np.insert(minutes, places, np.nan), np.insert(mmol, places, np.nan)


class Field:
    """A place on a sheet with its two scales.

    box: where it is (px); x: minutes shown; y: glucose shown (mmol/L); unit: the person's
    """

    def __init__(
        self, sheet: Sheet, box: Box, x: tuple[float, float], y: tuple[float, float], unit: str
    ) -> None:
        self.sheet, self.box, self.x, self.y, self.unit = sheet, box, x, y, unit
        self.axes = sheet.axes(box, x, y)

    def across(self, minute: float) -> float:
        """Return where a minute lies (px from the left)."""
        return self.box.left + (minute - self.x[0]) / (self.x[1] - self.x[0]) * self.box.width

    def at(self, minute: float, mmol: float) -> tuple[float, float]:
        """Return where a value lies on the sheet (px from the top left)."""
        up = (mmol - self.y[0]) / (self.y[1] - self.y[0])
        return self.across(minute), self.box.bottom - up * self.box.height

    def trace(self, minutes: Floats, mmol: Floats) -> Floats:
        """Return points 12 px apart along a line, shape (n, 2), for labels to keep clear of."""
        known = np.isfinite(mmol)
        across = (minutes[known] - self.x[0]) / (self.x[1] - self.x[0])
        up = (mmol[known] - self.y[0]) / (self.y[1] - self.y[0])
        corners = np.column_stack(
            (self.box.left + across * self.box.width, self.box.bottom - up * self.box.height)
        )
        if len(corners) < 2:
            return corners
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
        steps = np.arange(0.0, along[-1] + 1e-9, 12.0)
        return np.column_stack([np.interp(steps, along, corners[:, i]) for i in (0, 1)])

    def draw_glucose_scale(self, size: float, *, written: bool = True, reference: bool = True) -> None:
        """Draw hairlines, their values at the left if `written`, the unit above them, a `reference`."""
        for value in ticks(*self.y, self.unit):
            mmol = value / per_mmol(self.unit)
            self.axes.axhline(mmol, color=HAIRLINE, linewidth=1.5, zorder=1)
            y = self.at(0, mmol)[1] + size * 0.33
            if written:
                self.sheet.write(self.box.left - 14, y, f"{value:.0f}", size, SOFT_INK, side="right")
        if written:
            self.sheet.write(MARGIN_PX, self.box.top - 46, self.unit, size, SOFT_INK)
        if reference:
            self.axes.axhline(HIGH_MMOL, color=HIGH, linewidth=3, dashes=(5, 3), zorder=2)

    def keep_off_scale(self, size: float) -> list[Box]:
        """Return boxes around the scale's values, so that no label stands beside one like another value."""
        return [
            Box(self.box.left - 80, self.at(0, value / per_mmol(self.unit))[1] - size / 2, 104, size)
            for value in ticks(*self.y, self.unit)
        ]

    def draw_minute_scale(self, y: float, size: float, clock: str = "") -> None:
        """Draw the table that the curve stands on, a plate where the first bite was, and the minutes.

        clock: the time of the first bite, written under it
        """
        self.sheet.line((self.box.left, y), (self.box.right, y), INK, 4)
        for minute in range(0, round(self.x[1]) + 1, 30):
            self.sheet.write(self.across(minute), y + 54, f"{minute}", size, SOFT_INK, side="center")
        self.sheet.plate(self.across(0), y)
        if clock:
            self.sheet.write(self.across(0), y + 104, clock, size, SOFT_INK, side="center")
        caption = "minutes from the first bite"
        self.sheet.write(self.box.right, y + 104, caption, size, SOFT_INK, side="right")

    def draw_clock_scale(self, y: float, size: float, every_h: int = 4, *, midnight: bool = True) -> None:
        """Draw hairlines through the day down to `y`, with the time of day under them.

        midnight: write that of its end
        """
        for hour in range(0, 25, every_h):
            x = self.across(60 * hour)
            self.axes.axvline(60 * hour, color=HAIRLINE, linewidth=1.5, zorder=1)
            self.sheet.line((x, self.box.bottom), (x, y), HAIRLINE, 1.5).set_zorder(0.5)
            if hour < 24 or midnight:
                self.sheet.write(x, y + size + 4, write_hour(60 * hour), size, SOFT_INK, side="center")

    def draw_bite(self) -> None:
        """Mark the first bite through the whole height."""
        self.axes.axvline(0, color=HAIRLINE, linewidth=3, zorder=1)

    def name(
        self,
        wanted: Sequence[Wanted],
        taken: Sequence[Box],
        lines: Floats,
        size: float,
        gap: float = 20,
        spare: Sequence[Wanted] = (),
    ) -> None:
        """Write labels, the first ones first, each near what it names and clear of everything else.

        wanted: words, the points they may stand beside (px), colour; taken, lines: as `place` has them
        spare: labels that are said elsewhere, too, and are left out where there is no room near by
        """
        full = list(taken)
        for k, (words, anchors, color) in enumerate([*wanted, *spare]):
            width, height = self.sheet.size_of(words, size)
            spare_now = k >= len(wanted)
            if spare_now and not has_room(width, height, self.box, full):
                continue
            spot = place(width, height, np.array(anchors), self.box, full, lines, gap)
            if spare_now and min(spot.distance(*anchor) for anchor in anchors) > FAR_PX:
                continue
            self.sheet.write(spot.left, spot.top, words, size, color, from_top=True, halo=True)
            full.append(spot.padded(LABELS_APART_PX))

    def mark(self, minute: float, mmol: float, shape: str, size: float, color: str) -> Box:
        """Draw a mark rimmed in paper and return the room that it takes."""
        self.axes.plot(
            minute,
            mmol,
            shape,
            color=color,
            markersize=size,
            markeredgecolor=PAPER,
            markeredgewidth=5,
            zorder=8,
        )
        x, y = self.at(minute, mmol)
        return Box(x - size / 2, y - size / 2, size, size)
