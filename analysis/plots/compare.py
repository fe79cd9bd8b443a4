"""The picture that compares servings of one meal with servings of another."""

from collections.abc import Sequence
from datetime import tzinfo

from matplotlib.figure import Figure

from analysis.plots.style import MARGIN_PX, Sheet
from analysis.results import Serving


def draw_compare(
    a: Sequence[Serving], b: Sequence[Serving], names: tuple[str, str], unit: str, clock: tzinfo
) -> Figure:
    """Draw servings of A against servings of B, aligned at the first bite."""
    sheet = Sheet(400)
    sheet.write(MARGIN_PX, 92, alt_compare(a, b, names, unit, clock), 62)
    return sheet.figure


def alt_compare(
    a: Sequence[Serving], b: Sequence[Serving], names: tuple[str, str], unit: str, clock: tzinfo
) -> str:
    """Say in words what `draw_compare` shows; same parameters."""
    return f"{names[0]} and {names[1]}, {unit}"
