"""The picture of one day: its trace, and what was eaten, done, slept and synced."""

from datetime import tzinfo

from matplotlib.figure import Figure

from analysis.plots.style import MARGIN_PX, Sheet
from analysis.results import DayTrace


def draw_day(trace: DayTrace, unit: str, clock: tzinfo) -> Figure:
    """Draw one local day, 1080 px wide."""
    sheet = Sheet(400)
    sheet.write(MARGIN_PX, 92, alt_day(trace, unit, clock), 62)
    return sheet.figure


def alt_day(trace: DayTrace, unit: str, clock: tzinfo) -> str:
    """Say in words what `draw_day` shows; same parameters."""
    return f"{trace.day_on:%A} {trace.day_on.day} {trace.day_on:%B}, {unit}"
