"""The small curve beside a meal in a list: its average over two hours, all on one scale."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from analysis.curves import HIGH_MMOL, WINDOW_MIN
from analysis.plots.labels import Box
from analysis.plots.scale import stroke
from analysis.plots.style import AREA, HIGH, RISE
from analysis.results import Floats, Serving


def average(servings: Sequence[Serving]) -> tuple[Floats, Floats]:
    """Return the mean curve of some servings every 5 minutes from 0 to 120, where readings reach.

    Returns
    -------
    minutes, mmol: both shape (k,), k up to 25; at each minute the mean over the servings that cover it.
    """
    minutes = np.arange(0.0, WINDOW_MIN + 1, 5.0)
    lines = [
        np.interp(minutes, s.minutes, s.mmol, left=np.nan, right=np.nan) for s in servings if s.minutes.size
    ]
    if not lines:
        return minutes[:0], minutes[:0]
    stacked = np.vstack(lines)
    reached = ~np.isnan(stacked).all(axis=0)
    return minutes[reached], np.nanmean(stacked[:, reached], axis=0)


def draw_small(page: Axes, box: Box, servings: Sequence[Serving], span: tuple[float, float]) -> None:
    """Draw the average curve of a meal's servings in a box.

    page: axes whose data are the pixels of the page; span: glucose at its foot and top (mmol/L)
    What lies above the top is cut there, with an arrow where it does.
    """
    low, top = span

    def across(minute: Floats) -> Floats:
        return box.left + minute / WINDOW_MIN * box.width

    def up(mmol: Floats) -> Floats:
        held: Floats = box.bottom - (np.clip(mmol, low, top) - low) / (top - low) * box.height
        return held

    ends = across(np.array([0.0, WINDOW_MIN]))
    reference = up(np.full(2, HIGH_MMOL))
    stroke(page, ends, reference, HIGH, 2, zorder=2).set_dashes((4, 2.5))
    minutes, mmol = average(servings)
    if not minutes.size:
        return
    starts = [s.curve.baseline_mmol for s in servings if s.curve]
    if starts:
        start = up(np.full(minutes.size, float(np.mean(starts))))
        along, edge = across(minutes), np.minimum(up(mmol), start)
        outline = np.column_stack([np.r_[along, along[::-1]], np.r_[edge, start]])
        page.add_artist(
            Polygon(outline, facecolor=AREA, edgecolor="none", transform=page.transData, zorder=1)
        )
    above = np.where(mmol > HIGH_MMOL, reference[0], np.nan)
    if np.isfinite(above).any():
        stroke(page, across(minutes), above, HIGH, 8, zorder=4)
    stroke(page, across(minutes), up(mmol), RISE, 4.5, round_ends=True, zorder=5)
    cut = minutes[mmol > top]
    if cut.size:
        x = float(across(cut).mean())
        page.plot(x, box.top - 8, "^", color=RISE, markersize=15, markeredgewidth=0, zorder=6)
