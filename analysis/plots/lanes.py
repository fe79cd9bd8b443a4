"""The lanes under a day's trace: when one moved, slept and synced, by the same clock."""

from collections.abc import Sequence

from analysis.plots.field import Field
from analysis.plots.labels import Box
from analysis.plots.marks import name_movement
from analysis.plots.style import ASLEEP, INK, MARGIN_PX, MOVING, SOFT_INK
from analysis.plots.text import plain
from analysis.results import DayTrace

LANE_PX = 54.0
LANES_MOST = 3
APART_PX = 16.0

Move = tuple[float, float, str]


def count_lanes(field: Field, trace: DayTrace, size: float) -> int:
    """Return how many lanes `draw_lanes` will fill."""
    return len(_sort_moves(field, trace.activities, size)) + bool(trace.sleeps) + bool(trace.syncs)


def draw_lanes(field: Field, trace: DayTrace, top: float, size: float) -> None:
    """Draw the lanes from `top` on, each named at its left."""
    lanes = _sort_moves(field, trace.activities, size)
    for i, moves in enumerate(lanes):
        if i == 0:
            _name(field, "moved", MOVING, top, size)
        for start, end, words in moves:
            _draw_move(field, start, end, words, top, size)
        top += LANE_PX
    if trace.sleeps:
        _name(field, "slept", SOFT_INK, top, size)
        for start, end in trace.sleeps:
            left, right = field.across(start), field.across(end)
            field.sheet.bar(Box(left, top + 18, max(right - left, 8), 20), ASLEEP)
        top += LANE_PX
    if trace.syncs:
        _name(field, "syncs", SOFT_INK, top, size)
        for minute in trace.syncs:
            x = field.across(minute)
            field.sheet.line((x, top + 14), (x, top + 42), INK, 5)


def _name(field: Field, words: str, color: str, top: float, size: float) -> None:
    field.sheet.write(MARGIN_PX - 20, top + 40, words, size, color)


def _draw_move(field: Field, start: float, end: float, words: str, top: float, size: float) -> None:
    left, right = field.across(start), max(field.across(end), field.across(start) + 8)
    field.sheet.bar(Box(left, top + 18, right - left, 20), MOVING)
    if words:
        after = _room(field, start, end, words, size)[0] == left
        x = right + 12 if after else left - 12
        field.sheet.write(x, top + 40, words, size, MOVING, side="left" if after else "right")


def _room(field: Field, start: float, end: float, words: str, size: float) -> tuple[float, float]:
    """Return the stretch (px) that a bar takes with its words, at its right where there is room."""
    left, right = field.across(start), max(field.across(end), field.across(start) + 8)
    wide = field.sheet.size_of(words, size)[0] + 12 if words else 0.0
    if right + wide <= field.box.right:
        return left, right + wide
    return left - wide, right


def _sort_moves(field: Field, activities: Sequence[Move], size: float) -> list[list[Move]]:
    """Put each movement (start, end, words) into the first lane where it meets none.

    Where three lanes do not hold them all, there is one lane of bars without words.
    """
    lanes: list[list[Move]] = []
    taken: list[list[tuple[float, float]]] = []
    moves = [(start, min(start + length, field.x[1]), length, what) for start, length, what in activities]
    for start, end, length, what in sorted(moves):
        words = field.sheet.wrap(plain(name_movement(length, what)), 0.45 * field.box.width, size)[0]
        low, high = _room(field, start, end, words, size)
        for lane, stretches in zip(lanes, taken, strict=True):  # noqa: B007  # the one that it stops at
            if all(high + APART_PX < left or right + APART_PX < low for left, right in stretches):
                break
        else:
            if len(lanes) == LANES_MOST:
                return [[(start, end, "") for start, end, _, _ in moves]]
            lane, stretches = [], []
            lanes.append(lane)
            taken.append(stretches)
        lane.append((start, end, words))
        stretches.append((low, high))
    return lanes
