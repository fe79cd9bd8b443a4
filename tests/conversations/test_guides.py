"""Every how-to is a conversation that goes as it is written, from the words of the person to the bot's."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from bot.channels.script import read_script
from bot.commandline.main import app

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "demo_conversations" / "guides"
GUIDES = sorted(FOLDER.glob("*.chat"))
README = (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", GUIDES, ids=lambda path: path.stem)
def test_a_guide_goes_as_written(path: Path) -> None:
    result = CliRunner().invoke(app, ["replay", str(path), "--check"])
    assert result.exit_code == 0, result.output


@pytest.mark.parametrize("path", GUIDES, ids=lambda path: path.stem)
def test_a_guide_says_what_comes_back_and_is_short(path: Path) -> None:
    lines = read_script(path).lines
    patterns = [line.text for line in lines if line.who == "bot"]
    assert len(patterns) >= 7
    assert all(len(pattern.replace("*", "")) > 5 for pattern in patterns), "a pattern that fits anything"
    assert len(lines) <= 30


@pytest.mark.parametrize("path", GUIDES, ids=lambda path: path.stem)
def test_a_guide_is_named_in_the_readme(path: Path) -> None:
    assert f"(demo_conversations/guides/{path.name})" in README


def test_the_readings_of_the_guides_are_all_used() -> None:
    said = "".join(path.read_text(encoding="utf-8") for path in GUIDES)
    names = {file.name for file in (FOLDER / "readings").iterdir()}
    assert names
    assert all(f"(file readings/{name})" in said for name in names)
