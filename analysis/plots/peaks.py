"""What is said in a day's field itself: meals at their peaks, arrows for LO and HI."""

import re
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from analysis.plots.field import Field, Wanted
from analysis.plots.labels import Box
from analysis.plots.style import HIGH, INK, RISE, SOFT_INK
from analysis.plots.text import name_of, write_minute
from analysis.results import DayTrace

NAMED_MOST = 5
"""Meals are named at their peaks when there are no more than this."""
NAME_PX = 300.0
REACH_MIN, LEAST_MIN = 120.0, 20.0
TOGETHER_MIN = 20.0
ARROW_PX = 34.0

Meal = tuple[float, str, str, float | None]


def find_peaks(trace: DayTrace) -> list[tuple[float, float] | None]:
    """Return for each meal where its curve is highest (minute, mmol/L), None where there are no readings.

    A meal's curve is looked at for two hours, but not beyond the next meal's first bite.
    """
    known = np.isfinite(trace.mmol)
    minutes, mmol = trace.minutes[known], trace.mmol[known]
    starts = [meal[0] for meal in trace.meals]
    found: list[tuple[float, float] | None] = []
    for start, following in pairwise([*starts, float("inf")]):
        end = min(start + REACH_MIN, max(following, start + LEAST_MIN))
        inside = (minutes >= start) & (minutes <= end)
        if not inside.any():
            found.append(None)
            continue
        k = int(mmol[inside].argmax())
        found.append((float(minutes[inside][k]), float(mmol[inside][k])))
    return found


def name_peaks(field: Field, trace: DayTrace, size: float) -> list[Wanted]:
    """Return the labels that name up to five meals at their peaks; what has no room stays in the list."""
    if len(trace.meals) > NAMED_MOST:
        return []
    return [
        (field.sheet.wrap(shorten(name_of(title, slot)), NAME_PX, size)[0], [field.at(*peak)], INK)
        for (_, title, slot, _), peak in zip(trace.meals, find_peaks(trace), strict=True)
        if peak is not None
    ]


def shorten(name: str) -> str:
    """Return the first food of a meal's name.

    >>> shorten("lentil soup with bread"), shorten("oats, milk and pear"), shorten("Dinner")
    ('lentil soup', 'oats', 'Dinner')
    """
    return re.split(r", | and | with ", name)[0]


def join_limits(limits: Sequence[tuple[float, str]]) -> list[tuple[float, float, str]]:
    """Return the stretches in which the sensor was out of its range: (from minute, to minute, "HI" or "LO").

    >>> join_limits([(600.0, "high limit"), (605.0, "high limit"), (900.0, "low limit")])
    [(600.0, 605.0, 'HI'), (900.0, 900.0, 'LO')]
    """
    found: list[tuple[float, float, str]] = []
    for minute, flag in sorted(limits):
        side = "HI" if flag.startswith("high") else "LO"
        if found and found[-1][2] == side and minute - found[-1][1] <= TOGETHER_MIN:
            found[-1] = (found[-1][0], minute, side)
        else:
            found.append((minute, minute, side))
    return found


def write_limit(start: float, end: float, side: str) -> str:
    """Write a stretch out of range.

    >>> write_limit(600, 605, "HI"), write_limit(900, 900, "LO")
    ('HI 10:00–10:05', 'LO 15:00')
    """
    until = "" if write_minute(start) == write_minute(end) else f"–{write_minute(end)}"
    return f"{side} {write_minute(start)}{until}"


def draw_limits(field: Field, trace: DayTrace) -> tuple[list[Wanted], list[Box]]:
    """Draw an arrow at the edge for each stretch out of range; return labels and the room taken."""
    wanted: list[Wanted] = []
    taken: list[Box] = []
    for start, end, side in join_limits(trace.limits):
        high = side == "HI"
        color, edge = (HIGH, field.box.top + ARROW_PX / 2) if high else (RISE, field.box.bottom - ARROW_PX)
        x = min(max(field.across((start + end) / 2), field.box.left + ARROW_PX), field.box.right - ARROW_PX)
        left, right = field.across(start), field.across(end)
        if right - left > ARROW_PX:
            field.sheet.line((left, edge), (right, edge), color, 6).set_zorder(4)
        field.sheet.dot(x, edge, ARROW_PX, color).set_marker("^" if high else "v")
        taken.append(Box(x - ARROW_PX / 2, edge - ARROW_PX / 2, ARROW_PX, ARROW_PX))
        wanted.append((write_limit(start, end, side), [(x, edge)], color))
    return wanted, taken


def draw_pressed(field: Field, trace: DayTrace) -> None:
    """Draw what was read while somebody lay on the sensor, as small dots off the line."""
    for minute, mmol in trace.pressed:
        x, y = field.at(minute, max(mmol, field.y[0]))
        field.sheet.dot(x, y, 8, SOFT_INK).set_markeredgewidth(0)


def say_nothing_read(field: Field, size: float) -> None:
    """Say in an empty field that there is nothing to draw."""
    box = field.box
    middle = (box.left + box.right) / 2
    y = box.top + box.height * 0.36
    field.sheet.write(middle, y, "No readings of this day", size, SOFT_INK, side="center", halo=True)
