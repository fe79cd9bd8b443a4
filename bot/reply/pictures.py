"""A Figure becomes PNG bytes, or an SVG element.

Import this before anything in `analysis.plots`: it settles where matplotlib keeps its list of fonts.
"""

import gc
import os
import re
from collections.abc import Mapping
from io import BytesIO, StringIO
from pathlib import Path
from threading import Lock

from bot.model.messages import Picture
from bot.model.settings import data_folder


def find_font_cache(environment: Mapping[str, str], ours: Path) -> Path | None:
    """Return the folder for matplotlib's list of fonts, None to leave it where matplotlib puts it.

    It is left alone when `MPLCONFIGDIR` is set or the user's cache can be written, as nearly always. A
    service without a home of its own would search all fonts at each start; there it is `ours`.
    """
    if "MPLCONFIGDIR" in environment:
        return None
    home = environment.get("HOME") or environment.get("USERPROFILE")
    cache = environment.get("XDG_CACHE_HOME") or (home and f"{home}/.cache")
    if cache and _can_write(Path(cache)):
        return None
    return ours if _can_write(ours) else None


def _can_write(folder: Path) -> bool:
    """Say whether files can be made in a folder, or the folder itself where it does not exist yet."""
    nearest = next(parent for parent in (folder, *folder.absolute().parents) if parent.exists())
    return nearest.is_dir() and os.access(nearest, os.W_OK | os.X_OK)


_cache = find_font_cache(os.environ, data_folder() / "fonts")
if _cache is not None:
    os.environ["MPLCONFIGDIR"] = str(_cache)

# Only now, since the import reads MPLCONFIGDIR.
from matplotlib import rc_context  # noqa: E402
from matplotlib.backend_bases import FigureCanvasBase  # noqa: E402
from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: E402
from matplotlib.backends.backend_svg import FigureCanvasSVG  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402
from matplotlib.text import Text  # noqa: E402

from analysis.plots.dark import darken  # noqa: E402

Drawn = tuple[Figure, str]
"""A figure, and the same in words."""
PACKING = {"compress_level": 3}
"""A quarter quicker than matplotlib's own choice, for a tenth more bytes."""
_PART = re.compile(r' id="[a-zA-Z0-9]+_\d+"')
_one_at_a_time = Lock()


def to_picture(name: str, figure: Figure, alt: str, *, dark: bool = False) -> Picture:
    """Make the picture of a figure, with what it shows in words; the figure is used up.

    dark: for a dark screen
    """
    if dark:
        darken(figure)
    return Picture(name, to_png(figure, alt), alt)


def to_svg(figure: Figure, key: str, *, dark: bool = False) -> str:
    """Draw a figure as an SVG element to stand in a page, its words as text; the figure is used up.

    Words with a rim of paper have the class “halo”, since matplotlib would draw such words as outlines. Other
    names of parts are left out: several pictures in one page would have the same. key: its own in the page.
    """
    if dark:
        darken(figure)
    for words in figure.findobj(Text):
        if words.get_path_effects():
            words.set_path_effects([])
            words.set_gid("halo")
    buffer = StringIO()
    with _one_at_a_time, rc_context({"svg.fonttype": "none", "svg.hashsalt": key}):
        canvas = FigureCanvasSVG(figure)
        canvas.print_svg(  # type: ignore[no-untyped-call]  # matplotlib has no hints
            buffer, metadata=dict.fromkeys(("Date", "Creator", "Format", "Type"))
        )
        figure.clear()
        FigureCanvasBase(figure)
        gc.collect(1)
    svg = buffer.getvalue()
    svg = svg[svg.index("<svg") :].replace(' id="halo"', ' class="halo"')
    return _PART.sub("", svg)


def to_png(figure: Figure, alt: str = "") -> bytes:
    """Draw a figure at its own size (ours are 1080 px wide) as PNG, one at a time; the figure is used up.

    alt: what it shows in words; it is kept in the file as its description, where screen readers find it

    What is drawn refers to itself in circles and holds the 6 MB it was drawn on until the garbage collector
    happens to come by. So the figure is emptied, and the young objects, which its parts still are, collected.
    """
    buffer = BytesIO()
    with _one_at_a_time:
        canvas = FigureCanvasAgg(figure)
        canvas.print_png(  # type: ignore[no-untyped-call]  # matplotlib has no hints
            buffer, metadata={"Description": alt} if alt else None, pil_kwargs=PACKING
        )
        figure.clear()
        FigureCanvasBase(figure)
        gc.collect(1)
    return buffer.getvalue()
