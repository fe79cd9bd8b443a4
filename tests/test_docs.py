"""The documents say what the code does: every command, setting and slash command, and the talk at the top."""

import ast
import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageChops
from typer.testing import CliRunner

from analysis.references import REFERENCES
from bot.app import App
from bot.channels.saying import spoken
from bot.channels.script import Line, Sent, play, read_script
from bot.commandline.demo import SHOWN
from bot.commandline.kinds import WHAT
from bot.commandline.main import app as cli
from bot.commandline.play import demo_scripts
from bot.model.clock import SettableClock
from bot.model.settings import Settings
from bot.store.tables import metadata
from bot.talk.slash_commands import COMMANDS
from tests.readme_pictures import LUNCH, MADE_FROM, REPORT, beginning, draw_lunch, write_report
from tests.test_architecture import FLOORS, module_of, ours_of

SEEN_APART = 64
"""Shades of grey, of 256, by which a point of two pictures differs visibly."""
ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
NAMES = [command.name or command.callback.__name__ for command in cli.registered_commands if command.callback]


@pytest.mark.parametrize("name", NAMES)
def test_every_command_is_in_the_readme_and_has_help_with_an_example(name: str) -> None:
    assert f"`tablenote {name}" in README
    result = CliRunner().invoke(cli, [name, "--help"])
    assert result.exit_code == 0
    assert "Example: " in result.output
    assert f"tablenote {name}" in result.output


@pytest.mark.parametrize("name", [name for name in Settings.model_fields])
def test_every_setting_is_in_the_readme(name: str) -> None:
    assert f"`TABLENOTE_{name.upper()}`" in README


@pytest.mark.parametrize("name", [name for name, _ in COMMANDS])
def test_every_slash_command_is_in_the_readme(name: str) -> None:
    assert f"`/{name}" in README


def test_every_dependency_has_its_reason_in_the_readme() -> None:
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    listed = re.search(r"^dependencies = \[(.*?)^\]", project, re.DOTALL | re.MULTILINE)
    assert listed is not None
    for name in re.findall(r'"([A-Za-z0-9-]+)', listed[1]):
        assert f"`{name}`" in README, name


PAGES = [ROOT / "analysis/METHODS.md", ROOT / "analysis/UNKNOWN.md", ROOT / "bot/commandline/JSON.md"]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_a_page_is_reached_from_the_readme_and_its_links_lead_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert f"]({page.relative_to(ROOT)})" in README
    assert all((page.parent / link).exists() for link in re.findall(r"\]\(([^)]+)\)", text))


@pytest.mark.parametrize("page", PAGES[:2], ids=lambda page: page.name)
def test_modules_and_sources_of_a_page_exist(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    sources = {
        key for keys in re.findall(r"\[([a-z]+\w*(?:, \w+)*)\](?!\()", text) for key in keys.split(", ")
    }
    assert sources
    assert sources <= set(REFERENCES)
    assert all((page.parent / module).exists() for module in re.findall(r"`([\w/]+\.py)`", text))


def test_every_thing_to_analyse_has_its_keys_told() -> None:
    text = PAGES[2].read_text(encoding="utf-8")
    assert all(f"| `{what}` |" in text for what in WHAT)


def test_every_package_path_named_in_the_documents_exists() -> None:
    for document in (README, DEVELOPERS, *(page.read_text(encoding="utf-8") for page in PAGES)):
        for path in re.findall(r"`((?:bot|analysis|tests|demo_conversations)/[\w./]*)`", document):
            assert (ROOT / path).exists(), path


TREE = re.findall(r"^    ((?:bot|analysis|tests)/[\w.]*)/? {2,}\S", DEVELOPERS, re.MULTILINE)
WAY = re.findall(r"^\| \d+ \| `([\w/.]+)` \| `(\w+)` \| .*? \| `([\w/.]+)` \|$", DEVELOPERS, re.MULTILINE)


def test_the_tree_of_the_developers_is_the_tree_from_the_top_floor_down() -> None:
    rooms = [place.removesuffix("/").removesuffix(".py").replace("/", ".") for place in TREE]
    assert rooms == [*(floor for floor in FLOORS[::-1] if floor != "bot.__main__"), "tests"]
    folders = {path.parent for path in (ROOT / "bot").glob("*/__init__.py")}
    assert folders == {
        ROOT / place for place in TREE if place.startswith("bot/") and not place.endswith(".py")
    }


@pytest.mark.parametrize(("file", "name", "before"), WAY)
def test_each_step_of_the_way_of_one_message_is_in_the_code(file: str, name: str, before: str) -> None:
    """The file defines or offers what is named, and the one before it imports the file and uses the name."""
    here, earlier = (ROOT / place for place in (file, before))
    tree = ast.parse(here.read_text(encoding="utf-8"))
    defined = {
        node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    offered = {
        alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) for alias in node.names
    }
    assert name in defined | (offered if here.name == "__init__.py" else set())
    module = module_of(here)
    assert module in ours_of(module_of(earlier))
    used = re.search(rf"\b{name}\(", earlier.read_text(encoding="utf-8"))
    assert used or before == "bot/store/transaction.py", "the transaction only holds its parts"


def test_the_way_of_one_message_is_whole() -> None:
    """Ten steps, each handed on by a file of the way, or by one of the channels at its ends."""
    assert len(WAY) == 10
    on_the_way = {file for file, _, _ in WAY} | {"bot/store/transaction.py"}
    assert all(before in on_the_way or before.startswith("bot/channels/") for _, _, before in WAY)


@pytest.fixture(scope="module")
def demo() -> Iterator[tuple[App, list[Line | Sent]]]:
    """Play the demo of which a day is shown; give the bot and all that was said."""
    script = read_script(next(path for path in demo_scripts() if path.stem == SHOWN))
    clock = SettableClock(script.start)
    app = App("sqlite://", zone=script.zone.key, unit=script.unit, clock=clock)
    heard: list[Line | Sent] = []
    try:
        play(script, app, clock, "local", heard.append)
        yield app, heard
    finally:
        app.close()


PICTURES = [ROOT / place for place in re.findall(r"!\[.*?\]\((.*?\.png)\)", README)]
MAKE_ANEW = "make it anew: python -m tests.readme_pictures"


def test_the_readme_shows_the_pictures_that_are_made() -> None:
    assert PICTURES == [LUNCH, REPORT]


def test_the_curve_in_the_readme_is_what_the_demo_draws() -> None:
    """By its words, which are kept in it, and by its look; other versions of fonts may differ in edges."""
    drawn = draw_lunch()
    with Image.open(LUNCH) as shown, Image.open(BytesIO(drawn.png)) as today:
        assert shown.info["Description"] == today.info["Description"] == drawn.alt, MAKE_ANEW
        assert shown.size == today.size, MAKE_ANEW
        apart = ImageChops.difference(shown.convert("L"), today.convert("L"))
        assert sum(apart.histogram()[SEEN_APART:]) < shown.width * shown.height / 1000, MAKE_ANEW


def test_the_report_in_the_readme_is_what_the_demo_writes(tmp_path: Path) -> None:
    write_report(tmp_path / "report.html")
    with Image.open(REPORT) as shown:
        said = shown.info[MADE_FROM]
    assert "--paper" in said, "the style"
    assert "The run" in said
    assert said == beginning((tmp_path / "report.html").read_text(encoding="utf-8")), MAKE_ANEW


def test_the_talk_in_the_readme_is_what_the_demo_says(demo: tuple[App, list[Line | Sent]]) -> None:
    talk = re.search(r"```text\n(.*?)```", README, re.DOTALL)
    assert talk is not None
    _, heard = demo
    said = "\n".join(one.text if isinstance(one, Line) else spoken(one.message) for one in heard)
    for row in talk[1].splitlines():
        words = re.sub(r"^\d\d:\d\d +(me|bot): ", "", row).strip()
        assert words in said, f"no longer said: {words}"


WORKED = re.findall(r"^\| `(bot/[\w/.]+)` \| `(\w+)` \| [^|`]*.*\|$", DEVELOPERS, re.MULTILINE)


@pytest.mark.parametrize(("file", "name"), WORKED)
def test_each_stage_of_the_worked_messages_is_in_the_code(file: str, name: str) -> None:
    assert re.search(
        rf"^ *(?:def {name}\(|{name}\b.*=)", (ROOT / file).read_text(encoding="utf-8"), re.MULTILINE
    )


def test_the_worked_messages_have_their_stages() -> None:
    assert len(WORKED) == 21


def test_every_table_stands_on_the_page_of_what_is_kept() -> None:
    page = (ROOT / "bot" / "store" / "KEPT.md").read_text(encoding="utf-8")
    rows = "".join(line for line in page.splitlines(keepends=True) if line.startswith("| `"))
    named = set(re.findall(r"`([a-z_]+)`", rows))
    assert {table.name for table in metadata.sorted_tables} <= named


@pytest.mark.parametrize("page", ["bot/store/KEPT.md", "bot/commandline/RUNNING.md"])
def test_the_pages_name_settings_and_commands_that_are(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    known = {f"TABLENOTE_{name.upper()}" for name in Settings.model_fields}
    assert set(re.findall(r"TABLENOTE_[A-Z_]+", text)) <= known
    assert set(re.findall(r"tablenote ([a-z]+)[ `]", text)) <= {*NAMES}
