"""A scale of evenness, or of its differences: where a score lies, how surely, what each serving scored."""

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from analysis.plots.style import INK, PAPER, SOFT_INK

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
        self.page.plot([x0, x1], [y, y], color=color, linewidth=width, solid_capstyle="butt", zorder=4)
        for x in (x0, x1):
            self.page.plot(
                [x, x], [y - CAP_PX, y + CAP_PX], color=color, linewidth=3, solid_capstyle="butt", zorder=4
            )

    def dot(self, value: float, y: float, *, hollow: bool = False, color: str = INK) -> None:
        """Mark a value, hollow where little stands behind it."""
        draw_dot(self.page, self.at(value), y, hollow=hollow, color=color)

    def ticks(self, values: Sequence[float], top: float, height: float, color: str = SOFT_INK) -> None:
        """Draw a small upright line for each value."""
        for value in values:
            x = self.at(value)
            self.page.plot(
                [x, x], [top, top + height], color=color, linewidth=4, solid_capstyle="butt", zorder=3
            )


def draw_dot(page: Axes, x: float, y: float, *, hollow: bool = False, color: str = INK) -> None:
    """Draw a dot, filled or hollow."""
    page.plot(
        x,
        y,
        "o",
        markersize=DOT_PX,
        markerfacecolor=PAPER if hollow else color,
        markeredgecolor=color,
        markeredgewidth=5,
        zorder=6,
    )
