"""What a page can read off a drawn curve point by point."""

from collections.abc import Iterator

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.plots.style import READABLE


def read_points(figure: Figure) -> Iterator[tuple[float, float, float, float]]:
    """Yield where each point of a readable curve lies, and its values: across and down, minute, mmol/L.

    Across and down are in hundredths of the figure's width, from its upper left corner.
    """
    width, height = figure.get_size_inches() * figure.dpi
    for line in figure.findobj(Line2D):
        if not isinstance(line, Line2D) or line.get_label() != READABLE:
            continue
        values = np.asarray(line.get_xydata(), dtype=float)
        for (minute, mmol), (x, y) in zip(values, line.get_transform().transform(values), strict=True):
            yield 100 * x / width, 100 * (height - y) / width, float(minute), float(mmol)
