"""What is marked in one meal's curve: the shaded areas, the values worth naming, the movement under it."""

from collections.abc import Sequence

import numpy as np

from analysis.baseline import find_baseline
from analysis.curves import HIGH_MMOL, WINDOW_MIN
from analysis.plots.beyond import draw_beyond
from analysis.plots.earlier import Group
from analysis.plots.field import AFTER_MIN, BEFORE_MIN, Field, joined, part_at, shown
from analysis.plots.labels import Box
from analysis.plots.style import (
    AREA,
    DIP,
    HIGH,
    INK,
    MOVING,
    PAPER,
    RISE,
    SOFT_INK,
)
from analysis.plots.text import plain
from analysis.results import Curve, Floats, Serving
from analysis.units import REFERENCE_WRITTEN, write_glucose

LANE_PX = 56.0
LANES_MOST = 3


def shade(field: Field, serving: Serving, curve: Curve) -> None:
    """Fill the incremental area within two hours; draw the time above the reference on its line, and the dip.

    Where a meal close by was taken off, it is the area of what is left, under a line of its own. The line of
    the start has a band as wide as its standard error. The dip is drawn where it costs points.
    """
    whole = serving.mmol if serving.own_mmol is None else serving.own_mmol
    known = np.isfinite(whole)
    t, v = serving.minutes[known], whole[known]
    first, last = (float(np.clip(minute, 0, WINDOW_MIN)) for minute in t[[0, -1]])
    minutes = np.unique(np.concatenate([np.linspace(first, last, 481), t.clip(first, last)]))
    mmol = np.interp(minutes, t, v)
    start = curve.baseline_mmol if serving.own_mmol is None else find_baseline(t, v).mmol
    fill, plot = field.axes.fill_between, field.axes.plot
    fill(minutes, start, np.maximum(mmol, start), color=AREA, linewidth=0, zorder=2.5)
    above = np.where(mmol > HIGH_MMOL, HIGH_MMOL, np.nan)
    plot(minutes, above, color=HIGH, linewidth=14, solid_capstyle="butt", zorder=4.2)
    if _dips(serving) and curve.dip_at_min is not None:
        lowest = start - curve.dip_mmol
        plot([curve.dip_at_min] * 2, [start, lowest], color=DIP, linewidth=9, zorder=4.3)
        plot(
            curve.dip_at_min,
            lowest,
            "v",
            color=DIP,
            markersize=30,
            markeredgecolor=PAPER,
            markeredgewidth=4,
            zorder=7,
        )
    if serving.own_mmol is not None:
        plot(minutes, mmol, color=RISE, linewidth=3, dashes=(3, 2), zorder=4.5)
        plot([0.0, WINDOW_MIN], [start, start], color=INK, linewidth=3, zorder=4)
    read = curve.baseline_mmol
    ends = [field.x[0], WINDOW_MIN if serving.own_mmol is None else 0.0]
    if curve.baseline_se_mmol:
        band = np.array([-1.0, 1.0]) * curve.baseline_se_mmol + read
        fill(ends, *band, color=INK, alpha=0.14, linewidth=0, zorder=3.9)
    plot(ends, [read, read], color=INK, linewidth=3, zorder=4)


def _dips(serving: Serving) -> bool:
    """Say whether the dip below the start costs points."""
    return serving.evenness is not None and serving.evenness.lost.get("dip", 0.0) > 0


def trace_own(field: Field, serving: Serving) -> None:
    """Draw the meal's own readings: a line, dotted over gaps, with dots where they are few.

    Where the sensor was out of its range there is nothing: it was read, and it was elsewhere.
    """
    minutes, mmol = joined(serving)
    inside = shown(serving.minutes)
    bridged = part_at(serving.minutes[inside], serving.mmol[inside], serving.limits)
    field.axes.plot(*bridged, color=RISE, linewidth=4, linestyle=":", zorder=5)
    field.axes.plot(
        minutes,
        mmol,
        color=RISE,
        linewidth=8,
        solid_capstyle="round",
        marker="o" if own_dots(serving) else None,
        markersize=16,
        zorder=6,
    )


def own_dots(serving: Serving) -> bool:
    """Say whether the own readings are so few that each is a dot."""
    return int(np.count_nonzero(shown(serving.minutes))) <= 20


def name_values(field: Field, serving: Serving, earlier: Sequence[Group], size: float) -> None:
    """Mark and name the peak, the two-hour value, the start, the reference, the dip and what is earlier.

    So are readings out of the sensor's range, with arrows.
    """
    unit, curve = field.unit, serving.curve
    behind = [(m[np.isfinite(g)], g[np.isfinite(g)]) for group in earlier for m, g in group.lines()]
    own = field.trace(serving.minutes[shown(serving.minutes)], serving.mmol[shown(serving.minutes)])
    reference = field.trace(np.array(field.x), np.full(2, HIGH_MMOL))
    bite = field.trace(np.zeros(2), np.array(field.y))
    # A label over the meal's own line is worse than one over a line behind it.
    lines = [own, own, own, reference, bite, *(field.trace(*readings) for readings in behind)]
    taken = field.keep_off_scale(size)
    rings = [field.at(*prick) for prick in pricks_shown(serving)]
    taken += [Box(x - 12, y - 12, 24, 24) for x, y in rings]
    if own_dots(serving):
        inside = shown(serving.minutes)
        dots = [field.at(*dot) for dot in zip(serving.minutes[inside], serving.mmol[inside], strict=True)]
        taken += [Box(x - 6, y - 6, 12, 12) for x, y in dots]
    wanted, beyond = draw_beyond(field, serving)
    taken += beyond
    if curve:
        start, peak, two_hour = (
            (field.x[0] + 12, curve.baseline_mmol),
            (curve.minutes_to_peak, curve.peak_mmol),
            (WINDOW_MIN, curve.two_hour_mmol),
        )
        lines.append(field.trace(np.array([field.x[0], WINDOW_MIN]), np.full(2, curve.baseline_mmol)))
        lines.append(_shaded(field, serving, curve))
        taken.append(field.mark(*two_hour, "D", 24, INK))
        written = [write_glucose(g, unit) for _, g in (start, peak, two_hour)]
        if written[1] != written[0]:
            taken.append(field.mark(*peak, "o", 30, RISE))
            field.axes.plot(
                [peak[0]] * 2, [start[1], peak[1]], color=RISE, linewidth=4, linestyle=(0, (1, 1.5)), zorder=4
            )
            wanted.append((f"peak {written[1]} at {peak[0]:.0f} min", [field.at(*peak)], INK))
        wanted += [
            (f"{written[2]} at 2 h", [field.at(*two_hour)], INK),
            (f"start {written[0]}{_plus_minus(curve, unit)}", [field.at(*start)], INK),
        ]
        if _dips(serving) and curve.dip_at_min is not None:
            lowest = curve.dip_at_min, curve.baseline_mmol - curve.dip_mmol
            x, y = field.at(*lowest)
            taken.append(Box(x - 15, y - 15, 30, 30))
            wanted.append((f"dip to {write_glucose(lowest[1], unit)}", [(x, y)], INK))
    elif own.size:
        minute, mmol = serving.minutes[shown(serving.minutes)][-1], serving.mmol[shown(serving.minutes)][-1]
        wanted.append((f"{write_glucose(mmol, unit)} at {minute:.0f} min", [field.at(minute, mmol)], INK))
    ends = [field.at(minute, HIGH_MMOL) for minute in field.x]
    wanted.append((f"{REFERENCE_WRITTEN[unit]} reference", ends, HIGH))
    for group in earlier:
        color = MOVING if group.moved else SOFT_INK
        wanted.append((group.words, _apart(field, group.lines(), serving), color))
    field.name(wanted, taken, np.concatenate(lines), size, gap=22)


def _plus_minus(curve: Curve, unit: str) -> str:
    """Write how far the start may be off."""
    return f" ± {write_glucose(curve.baseline_se_mmol, unit)}" if curve.baseline_se_mmol else ""


def draw_pricks(field: Field, serving: Serving) -> None:
    """Draw typed readings beside the curve as rings."""
    for minute, mmol in pricks_shown(serving):
        field.axes.plot(
            minute,
            mmol,
            "o",
            markersize=18,
            markerfacecolor=PAPER,
            markeredgecolor=RISE,
            markeredgewidth=4,
            zorder=7,
        )


def pricks_shown(serving: Serving) -> list[tuple[float, float]]:
    """Return the typed readings in the time shown: (minute from the first bite, mmol/L)."""
    return [(minute, mmol) for minute, mmol in serving.pricks if BEFORE_MIN <= minute <= AFTER_MIN]


def _apart(
    field: Field, behind: Sequence[tuple[Floats, Floats]], serving: Serving
) -> list[tuple[float, float]]:
    """Return points along earlier servings, where possible those well apart from the meal's own line."""
    points = [
        (m, g)
        for minutes, mmol in behind
        for m, g in zip(minutes[::3], mmol[::3], strict=True)
        if np.isfinite(g) and g <= field.y[1]
    ]
    if serving.minutes.size:
        far = 0.08 * (field.y[1] - field.y[0])
        well_apart = [
            (m, g) for m, g in points if abs(g - np.interp(m, serving.minutes, serving.mmol)) > far and m > 0
        ]
        points = well_apart or points
    return [field.at(*point) for point in points]


def _shaded(field: Field, serving: Serving, curve: Curve) -> Floats:
    """Return points spread over the shaded areas, where words read less well than on paper."""
    minutes = np.arange(0.0, WINDOW_MIN, 5.0)
    step = (field.y[1] - field.y[0]) / 24
    spread = [
        field.at(minute, mmol)
        for minute, value in zip(minutes, np.interp(minutes, serving.minutes, serving.mmol), strict=True)
        for mmol in np.arange(min(value, curve.baseline_mmol), max(value, curve.baseline_mmol), step)
    ]
    return np.array(spread).reshape(-1, 2)


def name_movement(length_min: float, what: str) -> str:
    """Name a movement with its minutes where they are known (more than 0).

    >>> name_movement(10, "walk"), name_movement(0, "stairs")
    ('walk 10 min', 'stairs')
    """
    return f"{what} {length_min:.0f} min" if length_min > 0 else what


def moves(serving: Serving) -> list[tuple[float, float, str]]:
    """Return the movement in the time shown: (start, end, words); more than three become three.

    Minutes are from the first bite.
    """
    seen = [
        (start, start + length, plain(name_movement(length, what)))
        for start, length, what in serving.activities
        if start < AFTER_MIN and start + length > BEFORE_MIN
    ]
    if len(seen) > LANES_MOST:
        start, end, words = seen[LANES_MOST - 1]
        seen[LANES_MOST - 1 :] = [(start, end, f"{words}, and {len(seen) - LANES_MOST} more")]
    return seen


def draw_moves(field: Field, movement: Sequence[tuple[float, float, str]], size: float) -> None:
    """Draw each movement as a bar in a lane of its own under the field, named beside it."""
    sheet, box = field.sheet, field.box
    for lane, (start, end, words) in enumerate(movement):
        top = box.bottom + lane * LANE_PX
        left, right = (min(max(field.across(m), box.left), box.right) for m in (start, end))
        sheet.bar(Box(left, top + 11, max(right - left, 8), 20), MOVING)
        room_right, room_left = box.right - right - 14, left - box.left - 14
        words = sheet.wrap(words, max(room_right, room_left), size)[0]
        beside = room_right >= sheet.size_of(words, size)[0]
        x = right + 14 if beside else left - 14
        sheet.write(x, top + 34, words, size, MOVING, side="left" if beside else "right")
