"""The report as one HTML page that needs nothing else: pictures, style and the letters they are drawn in."""

from base64 import b64encode
from collections.abc import Mapping
from io import BytesIO

from jinja2 import Environment, PackageLoader, StrictUndefined

from analysis.plots.text import font_files
from bot.report.drawn import Drawing
from bot.report.parts import Report, Section

_PAGES = Environment(
    loader=PackageLoader("bot.report", ""),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def write_page(report: Report, drawn: Mapping[str, Drawing]) -> str:
    """Return the report as HTML."""
    text = "".join(picture.light + picture.alt for picture in drawn.values())
    return _PAGES.get_template("page.html.j2").render(
        report=report, drawn=drawn, fonts=_fonts(set(text)) if drawn else [], anchor=_anchor, base64=_base64
    )


def _base64(data: bytes) -> str:
    return b64encode(data).decode()


def _anchor(section: Section) -> str:
    return "".join(c if c.isalnum() else "-" for c in section.title.lower()).strip("-")


def _fonts(letters: set[str]) -> list[tuple[str, str]]:
    """Return (family, WOFF file in base64) of the letters that the pictures use.

    A browser that lacks the family would put words of another width where the picture has no room for them.
    """
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    found = []
    for family, path in font_files():
        font = TTFont(path)
        options = Options()
        options.flavor = "woff"
        options.drop_tables += ["FFTM"]
        subset = Subsetter(options)
        subset.populate(text="".join(sorted(letters)))
        subset.subset(font)
        buffer = BytesIO()
        font.flavor = "woff"
        font.save(buffer)
        found.append((family, _base64(buffer.getvalue())))
    return found
