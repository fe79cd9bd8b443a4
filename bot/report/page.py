"""The report as one HTML page that needs nothing else: pictures, style and the letters they are drawn in."""

from base64 import b64encode
from io import BytesIO

from bot.reply.pictures import to_svg  # isort: skip  # first: it settles the font cache
from jinja2 import Environment, PackageLoader, StrictUndefined

from analysis.plots.text import font_files
from bot.answers.drawing import figure_of
from bot.model.messages import PictureSpec
from bot.report.sections import Report, Section
from bot.store import Person, Transaction

_PAGES = Environment(
    loader=PackageLoader("bot.report", ""),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def write_page(tx: Transaction, person: Person, report: Report) -> str:
    """Return the report as HTML."""
    drawn = {spec.name: _draw(tx, person, spec) for section in report.sections for spec in section.pictures}
    text = "".join(light + alt for light, _, alt in drawn.values())
    return _PAGES.get_template("page.html.j2").render(
        title=report.title, sections=report.sections, drawn=drawn, fonts=_fonts(set(text)), anchor=_anchor
    )


def _draw(tx: Transaction, person: Person, spec: PictureSpec) -> tuple[str, str, str]:
    """Return a picture for light and for dark screens, and in words."""
    figure, alt = figure_of(tx, person, spec)
    light = to_svg(figure, f"{spec.name}, light")
    figure, _ = figure_of(tx, person, spec)
    return light, to_svg(figure, f"{spec.name}, dark", dark=True), alt


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
        found.append((family, b64encode(buffer.getvalue()).decode()))
    return found
