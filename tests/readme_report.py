"""Makes the README's picture of the report anew: `python -m tests.readme_report` (it needs Chromium).

The report is that of one demo conversation, as `tablenote demo` writes it; the picture shows its beginning.
"""

import shutil
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from bot.commandline.play import demo_scripts, play_aloud, report_script

PICTURE = Path("demo_conversations/pictures/report.png")
WIDTH, HEIGHT = 760, 900


def main() -> None:
    """Play the conversation, make its report, and take the picture."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        page = Path(folder) / "report.html"
        play_aloud(report_script(demo_scripts()), None, report=page)
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        shown = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        shown.goto(page.as_uri())
        shown.screenshot(path=PICTURE)
        browser.close()
    print(f"The picture is in {PICTURE}.")


if __name__ == "__main__":
    main()
