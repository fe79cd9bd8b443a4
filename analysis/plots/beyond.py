"""What is not in a meal's curve: arrows for LO and HI, and what was read while somebody lay on the sensor."""

from analysis.plots.field import Field, Wanted
from analysis.plots.labels import Box
from analysis.plots.peaks import ARROW_PX, join_limits
from analysis.plots.style import HIGH, RISE, SOFT_INK
from analysis.results import Serving

PRESSED_NOTE = "Small dots: left out, you seem to have lain on the sensor"


def draw_beyond(field: Field, serving: Serving) -> tuple[list[Wanted], list[Box]]:
    """Draw arrows at the edge where the sensor was out of its range, and small dots where one lay on it.

    Returns the labels of the arrows, and the room that all of it takes.
    """
    wanted: list[Wanted] = []
    taken: list[Box] = []
    for words, minute, side in beyond_shown(serving, field.x):
        high = side == "HI"
        color, edge = (HIGH, field.box.top + ARROW_PX / 2) if high else (RISE, field.box.bottom - ARROW_PX)
        x = min(max(field.across(minute), field.box.left + ARROW_PX), field.box.right - ARROW_PX)
        field.sheet.dot(x, edge, ARROW_PX, color).set_marker("^" if high else "v")
        taken.append(Box(x - ARROW_PX / 2, edge - ARROW_PX / 2, ARROW_PX, ARROW_PX))
        wanted.append((words, [(x, edge)], color))
    for minute, mmol in serving.pressed:
        if field.x[0] <= minute <= field.x[1]:
            x, y = field.at(minute, max(mmol, field.y[0]))
            field.sheet.dot(x, y, 8, SOFT_INK).set_markeredgewidth(0)
            taken.append(Box(x - 6, y - 6, 12, 12))
    return wanted, taken


def beyond_shown(serving: Serving, shown: tuple[float, float]) -> list[tuple[str, float, str]]:
    """Return words for each stretch out of range within the minutes shown, its middle, and "HI" or "LO"."""
    limits = [
        (minute, kind)
        # a serving made by hand may say where, and not which
        for minute, kind in zip(serving.limits, serving.limit_kinds, strict=False)
        if shown[0] <= minute <= shown[1]
    ]
    return [
        (f"{side} at {start:.0f}{'' if end == start else f'–{end:.0f}'} min", (start + end) / 2, side)
        for start, end, side in join_limits(limits)
    ]
