"""A scale of evenness, or of its differences: where a score lies, how surely, what each serving scored."""

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from analysis.plots.style import INK, PAPER, SOFT_INK
from analysis.results import Floats

Values = Sequence[float] | Floats
DOT_PX = 21.0
CAP_PX = 10.0


@dataclass(frozen=True, slots=True)
class Scale:
    """A horizontal scale on a page.

    page: axes whose data are the pixels of the page
    left, right: where `low` and `high` lie (px)
    """

    page: Axes
    left: float
    right: float
    low: float = 0.0
    high: float = 100.0

    def at(self, value: float) -> float:
        """Return where a value lies (px from the left), the ends for what is beyond."""
        share = (value - self.low) / (self.high - self.low)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    def range(self, low: float, high: float, y: float, color: str = INK, width: float = 5.0) -> None:
        """Draw where a value likely lies: a line with small ends."""
        x0, x1 = self.at(low), self.at(high)
        stroke(self.page, [x0, x1], [y, y], color, width, zorder=4)
        for x in (x0, x1):
            stroke(self.page, [x, x], [y - CAP_PX, y + CAP_PX], color, 3, zorder=4)

    def dot(self, value: float, y: float, *, hollow: bool = False, color: str = INK) -> None:
        """Mark a value, hollow where little stands behind it."""
        draw_dot(self.page, self.at(value), y, hollow=hollow, color=color)

    def ticks(self, values: Sequence[float], top: float, height: float, color: str = SOFT_INK) -> None:
        """Draw a small upright line for each value."""
        for value in values:
            x = self.at(value)
            stroke(self.page, [x, x], [top, top + height], color, 4)


def stroke(
    page: Axes, x: Values, y: Values, color: str, width: float, *, round_ends: bool = False, zorder: float = 3
) -> Line2D:
    """Draw a line on a page; quicker than `plot`, which looks for the limits that axes should have."""
    line = Line2D(
        x,
        y,
        color=color,
        linewidth=width,
        solid_capstyle="round" if round_ends else "butt",
        transform=page.transData,
        zorder=zorder,
    )
    page.add_artist(line)
    return line


def draw_dot(page: Axes, x: float, y: float, *, hollow: bool = False, color: str = INK) -> None:
    """Draw a dot, filled or hollow."""
    dot = Line2D(
        [x],
        [y],
        marker="o",
        linestyle="none",
        markersize=DOT_PX,
        markerfacecolor=PAPER if hollow else color,
        markeredgecolor=color,
        markeredgewidth=5,
        transform=page.transData,
        zorder=6,
    )
    page.add_artist(dot)
