"""The picture of the average day, and of two kinds of day side by side."""

from collections.abc import Mapping, Sequence

from matplotlib.figure import Figure

from analysis.day import AverageDay
from analysis.plots.style import MARGIN_PX, Sheet
from analysis.results import Floats

Lines = Sequence[tuple[Floats, Floats]]
"""Each day's line: minutes of the local day and mmol/L."""


def draw_average(day: AverageDay, days: Lines, unit: str, title: str, tag: str = "all") -> Figure:
    """Draw the average day of one tag of `day`."""
    sheet = Sheet(400)
    sheet.write(MARGIN_PX, 92, alt_average(day, days, unit, title, tag), 62)
    return sheet.figure


def alt_average(day: AverageDay, days: Lines, unit: str, title: str, tag: str = "all") -> str:
    """Say in words what `draw_average` shows; same parameters."""
    return f"{title}, {unit}"


def draw_two(
    day: AverageDay, days: Mapping[str, Lines], unit: str, title: str, tags: tuple[str, str]
) -> Figure:
    """Draw two tags of `day` side by side, such as ("weekday", "weekend"); days: the lines of each tag."""
    sheet = Sheet(400)
    sheet.write(MARGIN_PX, 92, alt_two(day, days, unit, title, tags), 62)
    return sheet.figure


def alt_two(day: AverageDay, days: Mapping[str, Lines], unit: str, title: str, tags: tuple[str, str]) -> str:
    """Say in words what `draw_two` shows; same parameters."""
    return f"{title}, {unit}"
