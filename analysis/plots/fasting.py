"""The picture of fasting glucose over a run of days."""

from matplotlib.figure import Figure

from analysis.fasting import Fasting
from analysis.plots.style import MARGIN_PX, Sheet


def draw_fasting(fasting: Fasting, unit: str) -> Figure:
    """Draw fasting values by the day."""
    sheet = Sheet(400)
    sheet.write(MARGIN_PX, 92, alt_fasting(fasting, unit), 62)
    return sheet.figure


def alt_fasting(fasting: Fasting, unit: str) -> str:
    """Say in words what `draw_fasting` shows; same parameters."""
    return f"Fasting glucose, {unit}"
