"""The pictures of a report as SVG: for light screens, for dark ones, for paper, and in words."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bot.reply.pictures import to_svg  # isort: skip  # first: it settles the font cache

from analysis.plots.readable import read_points
from analysis.plots.text import write_minute
from bot.answers.drawing import figure_of
from bot.model.messages import PictureSpec
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.report.parts import Report
from bot.store import Person, Transaction

PAPER, WHITE = "#f2ecdf", "#ffffff"
HALO = f'style="paint-order: stroke; stroke: {WHITE}; stroke-width: 7px; stroke-linejoin: round"'


Point = tuple[float, float, str]
"""Where a point lies, in hundredths of the width from the upper left corner, and its value in words."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """One picture: SVG for light and dark screens, in words, and what can be read off it point by point."""

    light: str
    dark: str
    alt: str
    points: tuple[Point, ...] = ()


def draw_all(tx: Transaction, person: Person, report: Report) -> dict[str, Drawing]:
    """Draw the pictures of a report, by the names of their specs."""
    specs = [spec for section in report.sections for spec in section.pictures]
    return {spec.name: _draw(tx, person, spec) for spec in specs}


def _draw(tx: Transaction, person: Person, spec: PictureSpec) -> Drawing:
    figure, alt = figure_of(tx, person, spec)
    points = tuple(_points(read_points(figure), person.unit)) if spec.kind == "average" else ()
    light = to_svg(figure, f"{spec.name}, light")
    figure, _ = figure_of(tx, person, spec)
    return Drawing(light, to_svg(figure, f"{spec.name}, dark", dark=True), alt, points)


def _points(found: Iterable[tuple[float, float, float, float]], unit: GlucoseUnit) -> Iterator[Point]:
    for x, y, minute, mmol in found:
        yield (
            round(x, 2),
            round(y, 2),
            f"{write_minute(minute)}: median {numbers.glucose_with_unit(mmol, unit)}",
        )


def for_paper(svg: str) -> str:
    """Return a light picture on white, its rims of paper written out: a PDF has no style sheet."""
    return svg.replace(PAPER, WHITE).replace('class="halo"', HALO)
