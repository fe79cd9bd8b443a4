"""The report in a real browser: nothing is wrong, cut off, or out of reach of the keyboard; on paper too."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Error, Page, sync_playwright

from bot.app import App
from bot.commandline.report import report
from tests.bot.report.words import sheets_of, stands_on_one, words_of_pictures

NAMES = ("chromium", "chromium-browser", "google-chrome")
A4_PT = (595, 842)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Start Debian's Chromium, or the one that `playwright install chromium` fetched.

    For these tests alone: its driver keeps an event loop in this thread, where no other can then be run.
    """
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    with sync_playwright() as driver:
        try:
            started = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        except Error as error:
            if os.environ.get("TABLENOTE_NEEDS_BROWSER"):
                raise
            pytest.skip(f"no browser: install chromium, or run “playwright install chromium” ({error.name})")
        yield started
        started.close()


@pytest.fixture(scope="session")
def pages(month: App, page: str, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    places = {name: folder / f"{name}.html" for name in ("whole", "share", "clinician")}
    places["whole"].write_text(page, encoding="utf-8")
    report(month, "local", None, None, places["share"], "share")
    report(month, "local", None, None, places["clinician"], "clinician")
    return places


def opened(browser: Browser, place: Path, width: int, scheme: str) -> tuple[Page, list[str]]:
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)  # type: ignore[arg-type]
    page, said = context.new_page(), []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: said.append(request.url) if request.url.startswith("http") else None)
    page.goto(place.as_uri())
    return page, said


@pytest.mark.parametrize(
    ("which", "width", "scheme"),
    [
        ("whole", 360, "dark"), ("whole", 1280, "light"), ("share", 360, "light"),
        ("clinician", 360, "light"), ("clinician", 1280, "dark"),
    ],
)  # fmt: skip
def test_it_is_whole_and_can_be_read_by_everybody(
    browser: Browser, pages: dict[str, Path], which: str, width: int, scheme: str
) -> None:
    page, said = opened(browser, pages[which], width, scheme)
    over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    found = Axe().run(page).response["violations"]
    page.context.close()
    assert said == []
    assert over == 0
    assert [(one["id"], one["nodes"][0]["html"][:200]) for one in found] == []


def test_a_table_is_sorted_by_the_keyboard(browser: Browser, pages: dict[str, Path]) -> None:
    page, said = opened(browser, pages["whole"], 1280, "light")
    table = page.locator("table", has=page.get_by_text("Evenness", exact=True)).first
    column = [head.strip() for head in table.locator("thead th").all_inner_texts()].index("Evenness")
    button = table.get_by_role("button", name="Evenness")

    def scores() -> list[int]:
        cells = table.locator(f"tbody tr > :nth-child({column + 1})").all_inner_texts()
        return [int(cell) for cell in cells]

    before = scores()
    button.press("Enter")
    assert scores() == sorted(before)
    assert table.locator("thead th").nth(column).get_attribute("aria-sort") == "ascending"
    button.press("Space")
    assert scores() == sorted(before, reverse=True)
    assert said == []
    page.context.close()


def test_a_curve_is_read_by_slider_and_by_pointing(browser: Browser, pages: dict[str, Path]) -> None:
    page, said = opened(browser, pages["whole"], 1280, "light")
    figure = page.locator("figure[data-points]").first
    slider, output = figure.get_by_role("slider", name="Read the curve"), figure.locator("output")
    slider.press("End")
    assert output.inner_text() == slider.get_attribute("aria-valuetext")
    assert output.inner_text().startswith("23:5")
    slider.press("Home")
    assert output.inner_text().startswith("00:0")
    assert "mmol/L" in output.inner_text()
    picture = figure.locator(".light")
    box = picture.bounding_box()
    assert box is not None
    picture.hover(position={"x": box["width"] * 0.55, "y": box["height"] * 0.4})
    assert output.inner_text()[:2] in ("11", "12")
    assert figure.locator(".mark").is_visible()
    assert said == []
    page.context.close()


def test_without_a_script_everything_is_there(browser: Browser, pages: dict[str, Path]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(pages["whole"].as_uri())
    assert page.locator("thead button").count() == 0
    assert page.get_by_role("columnheader", name="Evenness").first.is_visible()
    context.close()


def test_on_paper_no_picture_is_cut(browser: Browser, pages: dict[str, Path], page: str) -> None:
    shown, _ = opened(browser, pages["whole"], 1280, "dark")
    sheets = sheets_of(shown.pdf(format="A4", prefer_css_page_size=True))
    shown.context.close()
    pictures = words_of_pictures(page, rims=False)
    assert len(pictures) >= 6
    for words in pictures:
        assert stands_on_one(words, sheets), sorted(words)[:20]
