"""Earlier servings of a meal behind its curve: single lines while they are few, then a median and a band.

Those that movement went with are drawn apart, since that may be what made them differ.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.curves import MAX_GAP_MIN
from analysis.plots.field import AFTER_MIN, BEFORE_MIN, Field, joined, shown
from analysis.plots.style import FAINT, MOVING
from analysis.results import Floats, Serving

SINGLE_MOST = 3
"""Of more servings than this, the median and the middle half are drawn instead of single lines."""
MOVED_MIN = (-30.0, 120.0)
"""Movement that begins between these minutes from the first bite may have to do with the curve."""
STEP_MIN = 5.0


@dataclass(frozen=True, slots=True)
class Group:
    """Earlier servings drawn alike.

    servings: those with readings in the time shown; moved: whether movement went with them
    """

    servings: tuple[Serving, ...]
    moved: bool

    @property
    def color(self) -> str:
        """Green where movement went with it."""
        return MOVING if self.moved else FAINT

    @property
    def words(self) -> str:
        """Count them in words."""
        n = len(self.servings)
        if not self.moved:
            return f"{n} earlier serving{'' if n == 1 else 's'}"
        kinds = {what.split(" ")[0] for s in self.servings for _, _, what in moves_of(s)}
        return (
            f"{n} earlier, with a {kinds.pop()}"
            if kinds <= {"walk", "run"} and len(kinds) == 1
            else (f"{n} earlier, with movement")
        )

    def lines(self) -> list[tuple[Floats, Floats]]:
        """Return what is drawn as lines: minutes and mmol/L of each serving, or of their median."""
        if len(self.servings) <= SINGLE_MOST:
            return [joined(serving) for serving in self.servings]
        minutes, quartiles = middle(self.servings)
        return [(minutes, quartiles[1])]


def group_earlier(earlier: Sequence[Serving]) -> list[Group]:
    """Part earlier servings with readings into those without movement and those with it."""
    known = [serving for serving in earlier if shown(serving.minutes).any()]
    groups = [Group(tuple(s for s in known if bool(moves_of(s)) == moved), moved) for moved in (False, True)]
    return [group for group in groups if group.servings]


def moves_of(serving: Serving) -> list[tuple[float, float, str]]:
    """Return the movement that may have to do with the curve."""
    return [move for move in serving.activities if MOVED_MIN[0] <= move[0] <= MOVED_MIN[1]]


def interpolate(serving: Serving, minutes: Floats) -> Floats:
    """Return a serving's values at these minutes, NaN where readings do not reach or lie too far apart."""
    known = np.isfinite(serving.mmol)
    t, v = serving.minutes[known], serving.mmol[known]
    values: Floats = np.interp(minutes, t, v, left=np.nan, right=np.nan) if t.size else minutes * np.nan
    after = t.searchsorted(minutes).clip(1, max(t.size - 1, 1))
    if t.size > 1:
        values[t[after] - t[after - 1] > MAX_GAP_MIN] = np.nan
    return values


def middle(servings: Sequence[Serving]) -> tuple[Floats, Floats]:
    """Return the quartiles of some servings every 5 minutes from -30 to 150.

    Returns
    -------
    minutes: shape (37,); quartiles: lower, median, upper (mmol/L), shape (3, 37), NaN where fewer than half
    of the servings reach, or fewer than three.
    """
    minutes = np.arange(BEFORE_MIN, AFTER_MIN + 1, STEP_MIN)
    values = np.vstack([interpolate(serving, minutes) for serving in servings])
    quartiles = np.full((3, minutes.size), np.nan)
    reached = np.isfinite(values).sum(axis=0) >= max(3, len(servings) / 2)
    if reached.any():
        quartiles[:, reached] = np.nanpercentile(values[:, reached], (25, 50, 75), axis=0)
    return minutes, quartiles


def draw_earlier(field: Field, group: Group) -> None:
    """Draw earlier servings behind the own curve."""
    axes, dashes = field.axes, (2.5, 1.5) if group.moved else (1, 0)
    single = len(group.servings) <= SINGLE_MOST
    if not single:
        minutes, (low, _, high) = middle(group.servings)
        axes.fill_between(minutes, low, high, color=group.color, alpha=0.2, linewidth=0, zorder=2.8)
        for edge in (low, high):
            axes.plot(minutes, edge, color=group.color, linewidth=1.5, zorder=2.9)
    for minutes, mmol in group.lines():
        axes.plot(minutes, mmol, color=group.color, linewidth=4 if single else 6, dashes=dashes, zorder=3)
        draw_cut(field, minutes, mmol, group.color)


def draw_cut(field: Field, minutes: Floats, mmol: Floats, color: str) -> None:
    """Draw an arrow where a line leaves the field at its top."""
    above = np.nan_to_num(mmol) > field.y[1]
    if above.any():
        top = field.y[1] - 0.012 * (field.y[1] - field.y[0])
        field.axes.plot(
            float(np.mean(minutes[above])), top, "^", color=color, markersize=20, markeredgewidth=0, zorder=3
        )
