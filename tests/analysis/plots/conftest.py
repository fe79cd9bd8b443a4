from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from analysis.curves import measure_curve
from analysis.errors import InsufficientData
from analysis.evenness import score_curve
from analysis.plots.style import HAIRLINE
from analysis.results import Serving
from analysis.units import per_mmol

FIRST_BITE = datetime(2026, 3, 2, 6, 10, tzinfo=UTC)


def serve(minutes: Sequence[float], mmol: Sequence[float], **more: Any) -> Serving:
    """Build one serving from readings, measured and scored as in real life."""
    t, g = np.array(minutes, dtype=float), np.array(mmol, dtype=float)
    curve, why_not = None, ""
    try:
        curve = measure_curve(t, g)
    except InsufficientData as missing:
        why_not = missing.what
    known = {
        "entry_id": 1,
        "at": FIRST_BITE,
        "slot": "breakfast",
        "title": "porridge with oats, milk and a pear",
        "key": "milk+oats+pear",
        "carbs_g": 62.0,
    }
    return Serving(
        **(known | more),
        minutes=t,
        mmol=g,
        curve=curve,
        evenness=score_curve(curve) if curve else None,
        why_not=why_not,
    )


def hump(rise: float = 3.4, top: float = 40, base: float = 5.1, step: float = 5, **more: Any) -> Serving:
    """Build a serving whose curve rises once and comes back."""
    minutes = np.arange(-30.0, 151.0, step)
    share = np.clip(minutes, 0, None) / top
    return serve(list(minutes), list(base + rise * share**2 * np.exp(2 * (1 - share))), **more)


def words(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


def check_layout(figure: Figure) -> None:
    """Hold that texts and marks lie on the page, and that no text meets another, a mark, or a line.

    A text with a halo may lie over a line. Hairlines are no lines in this sense: they are the paper's.
    """
    renderer = FigureCanvasAgg(figure).get_renderer()
    boxes, haloed = [], []
    for text in figure.findobj(Text):
        if not text.get_text():
            continue
        box = text.get_window_extent(renderer)
        low = box.y0
        if text.get_text().isdigit():
            low += 0.2 * box.height  # digits do not reach below the line they stand on
        boxes.append((text.get_text(), box.x0, low, box.x1, box.y1))
        haloed.append(bool(text.get_path_effects()))
    width, height = figure.bbox.width, figure.bbox.height
    for name, x0, y0, x1, y1 in boxes:
        assert 0 <= x0 < x1 <= width, f"{name!r} leaves the page sideways: {x0:.0f} to {x1:.0f}"
        assert 0 <= y0 < y1 <= height, f"{name!r} leaves the page: {y0:.0f} to {y1:.0f} of {height:.0f}"
    for i, (a, ax0, ay0, ax1, ay1) in enumerate(boxes):
        for b, bx0, by0, bx1, by1 in boxes[i + 1 :]:
            apart = ax1 <= bx0 or bx1 <= ax0 or ay1 <= by0 or by1 <= ay0
            assert apart, f"{a!r} meets {b!r}"
    inked = [(name, x0, y0 + 0.25 * (y1 - y0), x1, y1 - 0.2 * (y1 - y0)) for name, x0, y0, x1, y1 in boxes]
    for line in figure.findobj(Line2D):
        ticks = isinstance(line.get_marker(), int)  # those of axes that are switched off
        if ticks or not line.get_visible() or line.get_color() == HAIRLINE:
            continue
        points = line.get_transform().transform(np.column_stack(line.get_data(orig=False)))
        points = points[np.isfinite(points).all(axis=1)]
        if line.get_marker() not in ("None", "", " ", None):
            _check_marks(points, line, inked, (width, height))
        if line.get_linestyle() not in ("None", "", " ") and line.get_linewidth() > 0 and len(points) > 1:
            _check_line(points, line, [box for box, halo in zip(inked, haloed, strict=True) if not halo])


def _check_marks(points: Any, line: Line2D, inked: list[Any], page: tuple[float, float]) -> None:
    for x, y in points:
        if line.axes is not None and line.get_clip_on() and not line.axes.bbox.padded(1).contains(x, y):
            continue  # cut off, and so not seen
        assert -1 <= x <= page[0] + 1, f"a mark {line.get_marker()!r} leaves the page sideways: {x:.0f}"
        assert -1 <= y <= page[1] + 1, f"a mark {line.get_marker()!r} leaves the page: {y:.0f}"
        for name, x0, y0, x1, y1 in inked:
            assert not (x0 < x < x1 and y0 < y < y1), f"{name!r} lies on a mark {line.get_marker()!r}"


def _check_line(points: Any, line: Line2D, inked: list[Any]) -> None:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    steps = np.arange(0.0, along[-1] + 1e-9, 4.0)
    x, y = (np.interp(steps, along, points[:, i]) for i in (0, 1))
    if line.axes is not None:
        seen = line.axes.bbox.padded(1)
        inside = (x >= seen.x0) & (x <= seen.x1) & (y >= seen.y0) & (y <= seen.y1)
        x, y = x[inside], y[inside]
    for name, x0, y0, x1, y1 in inked:
        crossed = (x > x0) & (x < x1) & (y > y0) & (y < y1)
        assert not crossed.any(), f"a line of {line.get_color()} goes through {name!r}"


@pytest.fixture(name="serve")
def _serve() -> Callable[..., Serving]:
    return serve


@pytest.fixture(name="hump")
def _hump() -> Callable[..., Serving]:
    return hump


@pytest.fixture(name="words")
def _words() -> Callable[[Figure], list[str]]:
    return words


@pytest.fixture(name="check_layout")
def _check_layout() -> Callable[[Figure], None]:
    return check_layout


@pytest.fixture(params=["mmol/L", "mg/dL"])
def unit(request: pytest.FixtureRequest) -> str:
    per_mmol(request.param)
    return str(request.param)
