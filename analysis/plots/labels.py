"""Where a label goes so that it meets nothing else."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.results import Floats

STEP_PX = 8.0
LABELS_APART_PX = 16.0
"""Between two labels, so that they do not read as one."""
APART_PX = 4.0


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in pixels from the top left corner of the page."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge (px)."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Lower edge (px)."""
        return self.top + self.height

    def padded(self, px: float) -> "Box":
        """Return the box with a margin on all sides.

        >>> Box(10, 10, 20, 5).padded(5)
        Box(left=5, top=5, width=30, height=15)
        """
        return Box(self.left - px, self.top - px, self.width + 2 * px, self.height + 2 * px)

    def distance(self, x: float, y: float) -> float:
        """Return how far a point is from the box (px), 0 inside.

        >>> Box(10, 10, 20, 5).distance(33, 19)
        5.0
        """
        across = max(0.0, self.left - x, x - self.right)
        down = max(0.0, self.top - y, y - self.bottom)
        return float(np.hypot(across, down))

    def meets(self, other: "Box") -> bool:
        """Say whether the two share any area.

        >>> Box(0, 0, 10, 10).meets(Box(9, 9, 5, 5)), Box(0, 0, 10, 10).meets(Box(10, 0, 5, 5))
        (True, False)
        """
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def place(
    width: float,
    height: float,
    anchors: Floats,
    frame: Box,
    taken: list[Box],
    lines: Floats,
    gap: float = 14.0,
) -> Box:
    """Find the place for a label nearest to what it names.

    It stays inside the frame and clear of the boxes already taken; each point of a drawn line that it would
    cover costs as much as 12 px of distance. Every place on a grid is weighed, so there is an answer
    wherever one exists.

    Parameters
    ----------
    width, height: size of the label (px).
    anchors: the points that it may stand beside, shape (k, 2), px from the top left.
    frame: where it may be.
    taken: labels and marks that it must not meet.
    lines: points along the drawn lines, shape (n, 2), px.
    gap: distance to keep from the anchors (px).

    Raises
    ------
    ValueError: when the frame has no free place of that size.

    >>> place(40, 20, np.array([(50, 50)]), Box(0, 0, 100, 100), [Box(0, 0, 100, 60)], np.empty((0, 2)))
    Box(left=32.0, top=64.0, width=40, height=20)
    """
    columns = np.arange(frame.left, frame.right - width + 1e-9, STEP_PX)
    rows = np.arange(frame.top, frame.bottom - height + 1e-9, STEP_PX)
    left, top = np.meshgrid(columns, rows)
    covered = _count_covered(lines, columns, rows, width, height)
    cost = np.full(left.shape, np.inf)
    for x, y in anchors:
        away_x = np.maximum(0, np.maximum(left - x, x - left - width))
        away_y = np.maximum(0, np.maximum(top - y, y - top - height))
        distance = np.hypot(away_x, away_y)
        # Among places equally near, the one centred on its anchor reads best.
        off_centre = np.abs(left + width / 2 - x) / width
        too_near = np.where(distance < gap, 60.0, 0.0)
        cost = np.minimum(cost, np.abs(distance - gap) + too_near + 4 * off_centre)
    cost += 12 * covered
    cost[~_find_free(left, top, width, height, taken)] = np.inf
    if not np.isfinite(cost).any():
        raise ValueError(f"no room for a label of {width:.0f} by {height:.0f} px")
    row, column = np.unravel_index(np.argmin(cost), cost.shape)
    return Box(float(columns[column]), float(rows[row]), width, height)


def has_room(width: float, height: float, frame: Box, taken: list[Box]) -> bool:
    """Say whether `place` would find any place for a label of that size; parameters as there.

    >>> has_room(40, 20, Box(0, 0, 100, 100), [Box(0, 0, 100, 90)])
    False
    """
    left, top = np.meshgrid(
        np.arange(frame.left, frame.right - width + 1e-9, STEP_PX),
        np.arange(frame.top, frame.bottom - height + 1e-9, STEP_PX),
    )
    return bool(_find_free(left, top, width, height, taken).any())


def _find_free(left: Floats, top: Floats, width: float, height: float, taken: list[Box]) -> NDArray[np.bool_]:
    """Say which places of a grid are clear of all boxes."""
    free = np.full(left.shape, True)
    for box in taken:
        beside = (left >= box.right + APART_PX) | (left + width <= box.left - APART_PX)
        over = (top >= box.bottom + APART_PX) | (top + height <= box.top - APART_PX)
        free &= beside | over
    return free


def _count_covered(points: Floats, columns: Floats, rows: Floats, width: float, height: float) -> Floats:
    """Count the points that a box at each (row, column) would cover or touch, by a table of running sums."""
    if not columns.size or not rows.size:
        return np.zeros((rows.size, columns.size))
    wide, high = (int(np.ceil(side / STEP_PX)) + 1 for side in (width, height))
    x_edges = columns[0] + STEP_PX * (np.arange(columns.size + wide + 1) - 0.5)
    y_edges = rows[0] + STEP_PX * (np.arange(rows.size + high + 1) - 0.5)
    counts, _, _ = np.histogram2d(points[:, 1], points[:, 0], bins=(y_edges, x_edges))
    sums = np.zeros((counts.shape[0] + 1, counts.shape[1] + 1))
    sums[1:, 1:] = counts.cumsum(axis=0).cumsum(axis=1)
    n_rows, n_columns = rows.size, columns.size
    within: Floats = (
        sums[high : high + n_rows, wide : wide + n_columns]
        - sums[:n_rows, wide : wide + n_columns]
        - sums[high : high + n_rows, :n_columns]
        + sums[:n_rows, :n_columns]
    )
    return within
