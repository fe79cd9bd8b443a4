"""The score as one bar from 0 to 100: what is kept, and what was lost to what."""

from collections.abc import Sequence
from itertools import pairwise

from matplotlib.axes import Axes

from analysis.plots.labels import Box
from analysis.plots.scale import Scale
from analysis.plots.style import INK, MARGIN_PX, PARTS, SOFT_INK, WIDTH_PX, Sheet
from analysis.points import whole_points
from analysis.results import Evenness

HEIGHT, TICKS_HEIGHT = 312.0, 50.0
HEAD, BODY, SMALL = 66.0, 42.0, 38.0
KEPT_PX, LOST_PX, GAP_PX = 52.0, 34.0, 5.0
BETWEEN_PX = 30.0
TELLS_LITTLE = 50.0
"""A likely range wider than this says little about the meal."""
BANDS = {"own repeats": "by your own servings", "published": "by published repeats"}


Scores = Sequence[tuple[float, str]]
"""What earlier servings scored, each with its colour."""


def height_of(earlier: Scores) -> float:
    """Return how much room `draw_bar` takes (px)."""
    return HEIGHT + _ticks_height(earlier)


def _ticks_height(earlier: Scores) -> float:
    if not earlier:
        return 0.0
    return TICKS_HEIGHT if _place_words(earlier) else 2 * TICKS_HEIGHT


def draw_bar(sheet: Sheet, evenness: Evenness, earlier: Scores, names: dict[str, str], top: float) -> None:
    """Draw the score as a bar with its likely range, what earlier servings scored, and each point lost.

    names: what the parts of the score are called
    """
    scale = Scale(sheet.page(), MARGIN_PX, WIDTH_PX - MARGIN_PX)
    sheet.write(MARGIN_PX, top + 76, f"Evenness {evenness.score:.0f}", HEAD)
    sheet.write(WIDTH_PX - MARGIN_PX, top + 76, likely(evenness), SMALL, SOFT_INK, side="right")
    middle = top + 170 + _ticks_height(earlier)
    _draw_earlier(sheet, scale, earlier, middle - 112)
    scale.range(evenness.low, evenness.high, middle - KEPT_PX / 2 - 26, width=6)
    points = {part: lost for part, lost in whole_points(evenness).items() if lost}
    kept = 100 - sum(points.values())
    if kept:
        _block(scale, 0, kept, middle, KEPT_PX, INK)
    labels, at = [], float(kept)
    for part, lost in points.items():
        _block(scale, at, at + lost, middle, LOST_PX, PARTS[part])
        labels.append((f"{names[part]} −{lost}", scale.at(at + lost / 2)))
        at += lost
    if labels:
        _write_labels(sheet, scale.page, labels, middle + LOST_PX / 2, middle + 84)
    else:
        sheet.write(WIDTH_PX - MARGIN_PX, middle + 84, "nothing lost", BODY, side="right")
    sheet.write(MARGIN_PX, middle + 138, "0", SMALL, SOFT_INK)
    sheet.write(WIDTH_PX - MARGIN_PX, middle + 138, "100 = flat line", SMALL, SOFT_INK, side="right")


def likely(evenness: Evenness) -> str:
    """Say where the meal's score likely lies, and by what."""
    by = BANDS[evenness.band_from]
    if evenness.high - evenness.low > TELLS_LITTLE and evenness.band_from == "published":
        by = "one serving tells little"
    return f"likely {evenness.low:.0f}–{evenness.high:.0f}, {by}"


def _block(scale: Scale, start: float, end: float, middle: float, height: float, color: str) -> None:
    """Fill a stretch of the bar, edged in ink so that a light colour has its end, too."""
    left, right = scale.at(start), scale.at(end)
    inset = min(GAP_PX / 2, (right - left) / 4)
    top, bottom = middle - height / 2, middle + height / 2
    scale.page.fill_between(
        [left + inset, right - inset], top, bottom, facecolor=color, edgecolor=INK, linewidth=2.5, zorder=3
    )


def _draw_earlier(sheet: Sheet, scale: Scale, scores: Scores, top: float) -> None:
    """Draw a tick for what each earlier serving scored, named beside them, or above them."""
    for score, color in scores:
        scale.ticks([score], top + 2, 30, color)
    if scores:
        x = _place_words(scores)
        sheet.write(x or MARGIN_PX, top + (30 if x else -14), _name(scores), SMALL, SOFT_INK)


def _name(scores: Scores) -> str:
    return "earlier serving" if len(scores) == 1 else "earlier servings"


def _place_words(scores: Scores) -> float | None:
    """Return where the ticks' name begins (px): after them, before them or between; None without room."""
    width = Sheet(1).size_of(_name(scores), SMALL)[0] + 28
    per_point = (WIDTH_PX - 2 * MARGIN_PX) / 100
    ticks = sorted(MARGIN_PX + score * per_point for score, _ in scores)
    stops = [MARGIN_PX - 14, *ticks, WIDTH_PX - MARGIN_PX + 14]
    gaps = list(pairwise(stops))
    fits = [gap for gap in (gaps[-1], gaps[0], *gaps[1:-1]) if gap[1] - gap[0] >= width]
    if not fits:
        return None
    start, end = fits[0]
    return float(end - width + 14 if start == stops[0] else start + 14)


def _write_labels(
    sheet: Sheet, page: Axes, labels: Sequence[tuple[str, float]], under: float, base: float
) -> None:
    """Write labels under the stretches they name, moved apart where they would meet, with a line to each."""
    boxes: list[Box] = []
    for words, x in labels:
        width = sheet.size_of(words, BODY)[0]
        boxes.append(Box(x - width / 2, base, width, BODY))
    limit, start = float(WIDTH_PX - MARGIN_PX), float(MARGIN_PX)
    for i in range(len(boxes) - 1, -1, -1):
        left = min(boxes[i].left, limit - boxes[i].width)
        boxes[i] = Box(left, base, boxes[i].width, BODY)
        limit = left - BETWEEN_PX
    for i, box in enumerate(boxes):
        boxes[i] = Box(max(box.left, start), base, box.width, BODY)
        start = boxes[i].right + BETWEEN_PX
    for (words, x), box in zip(labels, boxes, strict=True):
        sheet.write(box.left, base, words, BODY)
        page.plot(
            [x, box.left + box.width / 2], [under + 4, base - 36], color=SOFT_INK, linewidth=2.5, zorder=2
        )
