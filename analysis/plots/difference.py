"""What a comparison comes to: the difference with its interval against zero, and what each serving scored."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil

from analysis.arms import Arms
from analysis.plots.scale import DOT_PX, Scale, draw_dot
from analysis.plots.style import HAIRLINE, INK, MARGIN_PX, SOFT_INK, WIDTH_PX, Sheet

BODY, SMALL = 42.0, 38.0
DIFFERENCE_HEIGHT, SCORES_HEIGHT = 276.0, 84.0
LEVEL_PX, LEVELS_MOST = 21.0, 6
SCORES_LEFT, SCORES_RIGHT = 170.0, 880.0

Swatch = Callable[[int, float, float], None]
"""Draws the mark of the first (0) or second side from (x, y) on, 68 px wide."""
SWATCH_PX = 68.0


@dataclass(frozen=True, slots=True)
class Judged:
    """How two sides compare, and what may be said of it.

    verdict: one sentence, which says whether they differ; differ: whether it says so
    alike: whether it is asked at like portions
    """

    arms: Arms
    verdict: str
    differ: bool
    alike: bool = True


def write_difference(arms: Arms) -> str:
    """Write the second minus the first with its range.

    >>> write_difference(Arms((6, 6), (60, 72), 12.2, -4.4, 28.0, 1.0, 12))
    '+12, likely −4 to +28'
    """
    return f"{signed(arms.difference)}, likely {signed(arms.low)} to {signed(arms.high)}"


def signed(points: float) -> str:
    """Write whole points with their sign.

    >>> signed(3.2), signed(-0.4), signed(-12.0)
    ('+3', '0', '−12')
    """
    whole = round(points)
    return f"{whole:+d}".replace("-", "−") if whole else "0"


def draw_difference(
    sheet: Sheet, judged: Judged, colors: tuple[str, str], swatch: Swatch, top: float
) -> None:
    """Draw the second minus the first, in points of evenness, with its range against zero.

    The dot is hollow where the two are not told apart: a range beside zero is no verdict by itself. It takes
    `DIFFERENCE_HEIGHT` from `top` on.
    """
    arms = judged.arms
    x, y = float(MARGIN_PX), top + 44
    sheet.write(x, y, "evenness", BODY)
    x += sheet.size_of("evenness ", BODY)[0] + 14
    for side, then in ((1, "minus"), (0, f":  {write_difference(arms)}")):
        swatch(side, x, y - 14)
        x += SWATCH_PX + 16
        sheet.write(x, y, then, BODY)
        x += sheet.size_of(then, BODY)[0] + 16
    reach = 10.0 * ceil(max(20.0, abs(arms.low), abs(arms.high)) / 10)
    scale = Scale(sheet.page(), MARGIN_PX + 40, WIDTH_PX - MARGIN_PX - 40, -reach, reach)
    middle, foot = top + 108, top + 142
    scale.page.plot([scale.left, scale.right], [foot, foot], color=SOFT_INK, linewidth=2.5, zorder=1)
    zero = scale.at(0)
    scale.page.plot([zero, zero], [top + 74, foot], color=INK, linewidth=5, zorder=2)
    for value in (-reach, -reach / 2, 0.0, reach / 2, reach):
        x = scale.at(value)
        scale.page.plot([x, x], [foot, foot + 12], color=SOFT_INK, linewidth=2.5, zorder=1)
        sheet.write(x, foot + 50, signed(value), SMALL, SOFT_INK, side="center")
    scale.range(arms.low, arms.high, middle, width=8)
    scale.dot(arms.difference, middle, hollow=not judged.differ)
    words, y = "more even", foot + 106
    swatch(0, MARGIN_PX, y - 14)
    sheet.write(MARGIN_PX + SWATCH_PX + 16, y, words, SMALL, colors[0])
    points = "points, at like portions" if judged.alike else "points"
    sheet.write(WIDTH_PX / 2, y, points, SMALL, SOFT_INK, side="center")
    swatch(1, WIDTH_PX - MARGIN_PX - SWATCH_PX, y - 14)
    sheet.write(WIDTH_PX - MARGIN_PX - SWATCH_PX - 16, y, words, SMALL, colors[1], side="right")


def levels_of(scores: Sequence[float], per_point: float) -> list[int]:
    """Return how high each dot lies so that dots of like scores do not hide one another.

    scores: sorted; per_point: px
    Of very many, some do.

    >>> levels_of([50.0, 50.5, 51.0, 80.0], 7.0)
    [0, 1, 2, 0]
    """
    last = [-1e9] * LEVELS_MOST
    levels = []
    for score in scores:
        x = score * per_point
        free = [k for k in range(LEVELS_MOST) if x - last[k] >= DOT_PX]
        level = free[0] if free else min(range(LEVELS_MOST), key=lambda k: last[k])
        last[level] = x
        levels.append(level)
    return levels


def scores_height(scores: Sequence[Sequence[float]]) -> float:
    """Return how much room `draw_scores` takes (px)."""
    return SCORES_HEIGHT + sum(_row_height(each) for each in scores)


def _row_height(scores: Sequence[float]) -> float:
    per_point = (SCORES_RIGHT - SCORES_LEFT) / 100
    return 58 + LEVEL_PX * max(levels_of(sorted(scores), per_point), default=0)


def draw_scores(
    sheet: Sheet,
    scores: Sequence[Sequence[float]],
    means: Sequence[float | None],
    colors: tuple[str, str],
    swatch: Swatch,
    top: float,
) -> None:
    """Draw a dot for what each serving scored, the sides one under the other, with the mean of each."""
    scale = Scale(sheet.page(), SCORES_LEFT, SCORES_RIGHT)
    bottom = top + scores_height(scores) - 24
    for value in (0, 25, 50, 75, 100):
        x = scale.at(value)
        scale.page.plot(
            [x, x], [top + 56, bottom], color=HAIRLINE, linewidth=2 if value % 50 else 3, zorder=0
        )
        if value % 50 == 0:
            sheet.write(x, top + 44, f"{value}", SMALL, SOFT_INK, side="center")
    sheet.write(WIDTH_PX - MARGIN_PX, top + 44, "mean", SMALL, SOFT_INK, side="right")
    y = top + 56
    for side, each in enumerate(scores):
        y += _row_height(each)
        base = y - 26
        swatch(side, MARGIN_PX, base)
        ordered = sorted(each)
        for score, level in zip(ordered, levels_of(ordered, (SCORES_RIGHT - SCORES_LEFT) / 100), strict=True):
            draw_dot(scale.page, scale.at(score), base - LEVEL_PX * level, hollow=True, color=colors[side])
        mean = means[side]
        if mean is not None:
            scale.ticks([mean], base - 24, 48, colors[side])
            sheet.write(WIDTH_PX - MARGIN_PX, base + 14, f"{mean:.0f}", BODY, colors[side], side="right")
