"""Makes the README's pictures anew: `python -m tests.readme_pictures` (it needs Chromium).

One is the curve of a meal on the day that `tablenote demo` shows, the other the beginning of its report. Each
holds what it was made from, so that a test without a browser can tell when it is no longer current.
"""

import re
import shutil
import tempfile
from io import BytesIO
from pathlib import Path

from PIL import Image
from PIL.PngImagePlugin import PngInfo
from playwright.sync_api import sync_playwright

from bot.app import App
from bot.channels.script import play, read_script
from bot.commandline.demo import DAY, SHOWN
from bot.commandline.play import demo_scripts, play_through, report_script
from bot.model.clock import SettableClock
from bot.model.messages import Picture

FOLDER = Path(__file__).parent.parent / "demo_conversations" / "pictures"
LUNCH, REPORT = FOLDER / "lunch.png", FOLDER / "report.png"
WIDTH, HEIGHT = 760, 900
MADE_FROM = "Source"
"""The text of a PNG that says what of the report it shows."""


def draw_lunch() -> Picture:
    """Play the demo that is shown, and draw its lunch of the day."""
    script = read_script(next(path for path in demo_scripts() if path.stem == SHOWN))
    clock = SettableClock(script.start)
    app = App("sqlite://", zone=script.zone.key, unit=script.unit, clock=clock)
    try:
        result = play(script, app, clock, "local", lambda _: None)
        specs = [
            spec
            for sent in result.sent
            for spec in sent.message.drawn
            if spec.name.startswith(str(DAY))
            and spec.name.endswith("-lunch")
            and sent.at.astimezone(script.zone).date() == DAY
        ]
        return app.draw(specs[-1], "local")
    finally:
        app.close()


def write_report(page: Path) -> None:
    """Play the demo whose report is shown, and write the report."""
    play_through(read_script(report_script(demo_scripts())), lambda _: None, None, report=page)


def beginning(page: str) -> str:
    """Return what the picture can show of a report: its style, and the words of its first two sections."""
    style = page[page.index("<style>") : page.index("</style>")]
    sections = page[page.index("<body") :].split("</section>")[:2]
    spoken = re.sub(r'<[^>]*aria-label="([^"]*)"[^>]*>', r" \1 ", " ".join(sections))
    words = re.sub(r"<style.*?</style>|<[^>]*>", " ", spoken, flags=re.DOTALL)
    return " ".join(f"{re.sub(r'@font-face.*', '', style)} {words}".split())


def photograph(page: Path) -> bytes:
    """Return a picture of a page's beginning, as a browser shows it."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        shown = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        shown.goto(page.as_uri())
        taken = shown.screenshot()
        browser.close()
    return taken


def main() -> None:
    """Make both pictures and say where they are."""
    LUNCH.write_bytes(draw_lunch().png)
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "report.html"
        write_report(page)
        made_from = PngInfo()
        made_from.add_itxt(MADE_FROM, beginning(page.read_text(encoding="utf-8")))
        with Image.open(BytesIO(photograph(page))) as taken:
            taken.save(REPORT, pnginfo=made_from, optimize=True)
    print(f"The pictures are {LUNCH} and {REPORT}.")


if __name__ == "__main__":
    main()
