"""The documents say what the code does: every command, setting and slash command, and the talk at the top."""

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from typer.testing import CliRunner

from bot.app import App
from bot.channels.saying import spoken
from bot.channels.script import Line, Sent, play, read_script
from bot.commandline.main import app as cli
from bot.commandline.play import demo_scripts
from bot.model.clock import SettableClock
from bot.model.settings import Settings
from bot.talk.slash_commands import COMMANDS

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


def test_every_package_path_named_in_the_documents_exists() -> None:
    for document in (README, DEVELOPERS):
        for path in re.findall(r"`((?:bot|analysis|tests|demo_conversations)/[\w./]*)`", document):
            assert (ROOT / path).exists(), path


@pytest.fixture(scope="module")
def demo() -> Iterator[tuple[App, list[Line | Sent]]]:
    """Play the first demo; give the bot and all that was said."""
    script = read_script(demo_scripts()[0])
    clock = SettableClock(script.start)
    app = App("sqlite://", zone=script.zone.key, unit=script.unit, clock=clock)
    heard: list[Line | Sent] = []
    try:
        play(script, app, clock, "local", heard.append)
        yield app, heard
    finally:
        app.close()


def test_the_picture_in_the_readme_shows_what_the_demo_draws(demo: tuple[App, list[Line | Sent]]) -> None:
    """By its words and its size, which are kept in it; the look itself is for the eye."""
    app, heard = demo
    place = re.search(r"!\[.*?\]\((.*?\.png)\)", README)
    assert place is not None
    specs = [one.message.picture for one in heard if isinstance(one, Sent) and one.message.picture]
    (lunch,) = {spec.entry_id: spec for spec in specs if spec.name.endswith("-lunch")}.values()
    drawn = app.draw(lunch, "local")
    with Image.open(ROOT / place[1]) as shown, Image.open(BytesIO(drawn.png)) as today:
        assert shown.text["Description"] == today.text["Description"] == drawn.alt
        assert shown.size == today.size


def test_the_talk_in_the_readme_is_what_the_demo_says(demo: tuple[App, list[Line | Sent]]) -> None:
    talk = re.search(r"```text\n(.*?)```", README, re.DOTALL)
    assert talk is not None
    _, heard = demo
    said = "\n".join(one.text if isinstance(one, Line) else spoken(one.message) for one in heard)
    for row in talk[1].splitlines():
        words = re.sub(r"^\d\d:\d\d +(me|bot): ", "", row).strip()
        assert words in said, f"no longer said: {words}"
