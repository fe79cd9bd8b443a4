"""One visual language for all pictures: a sheet of paper, ink, and four colours that always mean the same.

The four parts of the score have the colours that they have in the curve: blue the line and its rise, ochre
the area under it, plum what lies above the reference, lilac what dips below the start. Green is movement,
dusk is sleep, the pale blue between its edges is where the middle half of the days lies; brown is the second
of two meals.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, Literal

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import FancyBboxPatch
from matplotlib.patheffects import withStroke
from matplotlib.text import Text
from matplotlib.ticker import NullLocator
from matplotlib.transforms import Affine2D

from analysis.plots.labels import Box
from analysis.plots.text import families

PAPER: Final = "#F2ECDF"
READABLE: Final = "readable"
"""The label of a line whose values a page can show one by one: minutes across, mmol/L up."""
INK: Final = "#2A2830"
SOFT_INK: Final = "#625D57"
HAIRLINE: Final = "#D3CABA"
FAINT: Final = "#8B8478"
MOVING: Final = "#3F6D65"
ASLEEP: Final = "#7D7896"
SPREAD: Final = "#B4BBD3"
EDGE: Final = "#5B6797"
SECOND: Final = "#A3570B"
FAINT_FIRST: Final = "#7280B4"
FAINT_SECOND: Final = "#B57A42"

RISE: Final = "#1C3566"
AREA: Final = "#E2B45C"
HIGH: Final = "#A6425C"
DIP: Final = "#7A80C4"
PARTS: Final = {"rise": RISE, "area": AREA, "high": HIGH, "dip": DIP}

WIDTH_PX: Final = 1080
MARGIN_PX: Final = 56
NOTE_PX: Final = 50
# At 72 dots per inch a point is a pixel, so sizes and line widths below are all in pixels.
DPI: Final = 72

# Measures text before there is a picture; a renderer of its own size would hold 6 MB for each sheet.
_RULER: Final = RendererAgg(1, 1, DPI)  # type: ignore[no-untyped-call]  # matplotlib has no hints there

Side = Literal["left", "center", "right"]


class Sheet:
    """A blank page 1080 px wide, measured in pixels from its top left corner.

    height: of the page (px)
    """

    def __init__(self, height: int) -> None:
        self.height = height
        self.figure = Figure(figsize=(WIDTH_PX / DPI, height / DPI), dpi=DPI, facecolor=PAPER)
        self._page: Axes | None = None
        self._px = Affine2D().scale(1, -1).translate(0, height).scale(1 / DPI) + self.figure.dpi_scale_trans

    def size_of(self, text: str, size: float) -> tuple[float, float]:
        """Return width and height (px) of a line of text."""
        width, height = _measure(text, size)
        return width, max(height, _measure("lp", size)[1])

    def write(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        color: str = INK,
        *,
        side: Side = "left",
        from_top: bool = False,
        halo: bool = False,
    ) -> Text:
        """Write one line: its base line at `y`, or its top there; `side` says which end of it is at `x`."""
        written = Text(
            x,
            y,
            text,
            color=color,
            fontproperties=_font(size),
            horizontalalignment=side,
            verticalalignment="top" if from_top else "baseline",
            transform=self._px,
            parse_math=False,
            usetex=False,
        )
        if halo:
            # plum words may have to stand on plum: so much paper that their gaps are filled, too
            width = 18 if color == HIGH else 7
            written.set_path_effects([withStroke(linewidth=width, foreground=PAPER)])
        self.figure.add_artist(written)
        return written

    def write_notes(self, rows: Sequence[str], size: float) -> None:
        """Write lines at the foot of the page, `NOTE_PX` each, the last one above the margin."""
        for i, row in enumerate(rows):
            y = self.height - 38 - NOTE_PX * (len(rows) - 1 - i)
            self.write(MARGIN_PX, y, row, size, SOFT_INK)

    def bar(self, box: Box, color: str) -> FancyBboxPatch:
        """Fill a rectangle with rounded ends."""
        round_px = min(box.width, box.height) / 2.5
        filled = FancyBboxPatch(
            (box.left, box.top),
            box.width,
            box.height,
            boxstyle=f"round,pad=0,rounding_size={round_px}",
            facecolor=color,
            edgecolor="none",
            transform=self._px,
        )
        self.figure.add_artist(filled)
        return filled

    def line(self, start: tuple[float, float], end: tuple[float, float], color: str, width: float) -> Line2D:
        """Draw a straight line between two points (px)."""
        drawn = Line2D(
            (start[0], end[0]), (start[1], end[1]), color=color, linewidth=width, transform=self._px
        )
        self.figure.add_artist(drawn)
        return drawn

    def dot(self, x: float, y: float, size: float, color: str, *, hollow: bool = False) -> Line2D:
        """Draw a dot with a rim of paper, or hollow, around a point (px)."""
        drawn = Line2D(
            (x,),
            (y,),
            marker="o",
            linestyle="none",
            color=color,
            markersize=size,
            transform=self._px,
            zorder=5,
        )
        drawn.set_markerfacecolor(PAPER if hollow else color)
        drawn.set_markeredgecolor(color if hollow else PAPER)
        drawn.set_markeredgewidth(4 if hollow else 3)
        self.figure.add_artist(drawn)
        return drawn

    def plate(self, x: float, y: float, size: float = 34) -> None:
        """Draw a plate seen from above: our mark for the first bite."""
        for share, color in ((1.0, INK), (0.74, PAPER), (0.42, INK)):
            dot = Line2D(
                (x,), (y,), marker="o", color=color, markersize=size * share, markeredgewidth=0, zorder=9
            )
            dot.set_transform(self._px)
            self.figure.add_artist(dot)

    def page(self) -> Axes:
        """Return axes over the whole page, under all words, whose data are its pixels."""
        if self._page is None:
            self._page = self.axes(Box(0, 0, WIDTH_PX, self.height), (0, WIDTH_PX), (self.height, 0))
        return self._page

    def axes(self, box: Box, x: tuple[float, float], y: tuple[float, float]) -> Axes:
        """Make room for curves; scales and their words are written on the sheet, not by the axes."""
        frame = (
            box.left / WIDTH_PX,
            1 - box.bottom / self.height,
            box.width / WIDTH_PX,
            box.height / self.height,
        )
        axes = self.figure.add_axes(frame)
        axes.set_axis_off()
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_locator(
                NullLocator()
            )  # ticks that nobody sees cost time when artists are looked for
        axes.set_xlim(x)
        axes.set_ylim(y)
        return axes

    def wrap(self, text: str, width: float, size: float, lines: int = 1) -> list[str]:
        """Break text into at most `lines` lines of `width` px; what does not fit ends in "…"."""
        rows: list[str] = []
        while text:
            fits = self._how_many_fit(text, width, size)
            if fits == len(text):
                rows.append(text)
                break
            if len(rows) == lines - 1:
                fits = self._how_many_fit(text, width - self.size_of("…", size)[0], size)
                at_space = text.rfind(" ", max(0, fits - 12), fits)
                rows.append(text[: at_space if at_space > 0 else fits].rstrip(" ,.;·") + "…")
                break
            at_space = text.rfind(" ", 0, fits + 1)
            cut = at_space if at_space > 0 else fits
            rows.append(text[:cut].rstrip())
            text = text[cut:].lstrip()
        return rows

    def _how_many_fit(self, text: str, width: float, size: float) -> int:
        if self.size_of(text, size)[0] <= width:
            return len(text)
        low, high = 1, len(text) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if self.size_of(text[:middle], size)[0] <= width:
                low = middle
            else:
                high = middle - 1
        return low


@lru_cache(maxsize=64)
def _font(size: float) -> FontProperties:
    return FontProperties(family=list(families()), size=size)


@lru_cache(maxsize=512)
def _measure(text: str, size: float) -> tuple[float, float]:
    width, height, _ = _RULER.get_text_width_height_descent(  # type: ignore[no-untyped-call]
        text, _font(size), False
    )
    return width, height
