"""A Figure becomes PNG bytes.

Import this before anything in `analysis.plots`: it settles where matplotlib keeps its list of fonts.
"""

import os
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from threading import Lock

import platformdirs


def find_font_cache(environment: Mapping[str, str], candidates: tuple[Path, ...]) -> Path | None:
    """Return the folder that matplotlib's list of fonts should live in, None to leave the choice to it.

    It is left alone when `MPLCONFIGDIR` is set or the first candidate, its own default, can be written;
    otherwise the first candidate that can be. Without any, each start would search the fonts anew.
    """
    if "MPLCONFIGDIR" in environment:
        return None
    writable = [folder for folder in candidates if _can_write(folder)]
    return None if not writable or writable[0] == candidates[0] else writable[0]


def _can_write(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    return os.access(folder, os.W_OK | os.X_OK)


_cache = find_font_cache(
    os.environ, (platformdirs.user_cache_path("matplotlib"), platformdirs.user_cache_path("tablenote"))
)
if _cache is not None:
    os.environ["MPLCONFIGDIR"] = str(_cache)

from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402

_one_at_a_time = Lock()


def to_png(figure: Figure) -> bytes:
    """Draw a figure at its own size (ours are 1080 px wide) as PNG; one is drawn at a time."""
    buffer = BytesIO()
    with _one_at_a_time:
        canvas = figure.canvas if isinstance(figure.canvas, FigureCanvasAgg) else FigureCanvasAgg(figure)
        canvas.print_png(buffer)  # type: ignore[no-untyped-call]  # matplotlib has no hints there
    return buffer.getvalue()
