"""The report as a PDF of A4 pages: text that can be selected, pictures as vectors with their words beside.

It keeps PDF/UA, the standard for screen readers: headings, tables, and words for each picture.
"""

import json
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

import typst

from analysis.plots.text import families, font_files
from bot.report.drawn import Drawing, for_paper
from bot.report.parts import Report, Section, Table

_KEPT = 10
LEAST_WIDTH, MOST_WIDTH = 8, 30
"""Of a column, in letters: shares of the page, so that one long cell leaves room for the others."""


def write_pdf(report: Report, drawn: Mapping[str, Drawing]) -> bytes:
    """Return the report as a PDF; it holds no date and no name of who made it."""
    held = {
        "title": report.title,
        "dense": report.dense,
        "fonts": list(families()),
        "sections": [_section(section, drawn) for section in report.sections],
    }
    folders = sorted({str(Path(path).parent) for _, path in font_files()})
    fonts = typst.Fonts(font_paths=folders)
    try:
        return typst.compile(
            files("bot.report").joinpath("page.typ").read_bytes(),
            format="pdf",
            font_paths=fonts,
            sys_inputs={"report": json.dumps(held)},
            pdf_standards="ua-1",
        )
    finally:
        _forget(fonts)


def _forget(fonts: typst.Fonts) -> None:
    """Have typst drop what it keeps of a report, some 10 to 20 MB, until `_KEPT` others were typeset."""
    for _ in range(_KEPT + 1):
        typst.compile(b"", font_paths=fonts)


def _section(section: Section, drawn: Mapping[str, Drawing]) -> dict[str, object]:
    return {
        "title": section.title,
        "paragraphs": section.paragraphs,
        "points": section.points,
        "pictures": [
            {"svg": for_paper(drawn[spec.name].light), "alt": drawn[spec.name].alt}
            for spec in section.pictures
        ],
        "tables": [
            {"caption": table.caption, "head": table.head, "rows": table.rows, "widths": _widths(table)}
            for table in section.tables
        ],
        "photos": [
            {"jpeg": list(photo.jpeg), "alt": photo.title, "said": f"{photo.title}, {photo.day}"}
            for photo in section.photos
        ],
    }


def _widths(table: Table) -> list[int]:
    columns = zip(table.head, *table.rows, strict=True)
    longest = [max(len(cell) for cell in column) for column in columns]
    return [min(max(length, LEAST_WIDTH), MOST_WIDTH) for length in longest]
