"""The demo: one day in few lines and what the rest came to, everything on request, and its exit code."""

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from bot.commandline import demo, play
from bot.commandline.main import app

WEEK = {path.stem: path for path in play.demo_scripts()}[demo.SHOWN]
MOST_LINES = 60
HEADER = "zone: Europe/Vienna\nstart: 2026-03-11 07:00\nname: {name}\n\n"
TALK = "2026-03-11 07:10 me: 60 g oats\n2026-03-11 07:10 bot: Noted breakfast*oats 60 g*\n"
NEXT_DAY = "2026-03-12 12:10 me: 5.6\n"


def run(monkeypatch: pytest.MonkeyPatch, scripts: list[Path], *words: str) -> Result:
    """Run the command as if these were all conversations; the last one's report is made."""
    monkeypatch.setattr(demo, "demo_scripts", lambda: scripts)
    monkeypatch.setattr(play, "REPORTED", scripts[-1].stem)
    return CliRunner().invoke(app, ["demo", *words])


@pytest.fixture
def scripts(tmp_path: Path) -> list[Path]:
    """Two short conversations; the second has the name of the one that is shown."""
    written = []
    for stem, name in (("1_one", "One"), (demo.SHOWN, "Two")):
        path = tmp_path / f"{stem}.chat"
        path.write_text(HEADER.format(name=name) + TALK + NEXT_DAY, encoding="utf-8")
        written.append(path)
    return written


@pytest.fixture(scope="module")
def of_week(tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, Path]:
    """What the command says of the week, and the folder that it wrote to."""
    out = tmp_path_factory.mktemp("demo") / "out"
    with pytest.MonkeyPatch.context() as patch:
        return run(patch, [WEEK], "--out", str(out)), out


def test_one_day_and_the_rest_take_few_lines(of_week: tuple[Result, Path]) -> None:
    result, _ = of_week
    assert result.exit_code == 0
    of_the_others = len(play.demo_scripts()) - 1  # one line each
    assert len(result.output.splitlines()) + of_the_others < MOST_LINES
    assert result.output.count("--- ") == 1
    assert "= 14." in result.output, "a curve of the day"


def test_pictures_and_report_are_where_the_demo_says(of_week: tuple[Result, Path]) -> None:
    result, out = of_week
    (row,) = [row for row in result.output.splitlines() if row.startswith("A week")]
    folder, pictures = Path(row.split()[-1]), int(row.split()[-2])
    assert len(list(folder.glob("*.png"))) == pictures > 10
    page = out / "report.html"
    assert str(page) in result.output
    assert "<svg" in page.read_text(encoding="utf-8")


def test_a_row_counts_days_and_messages(
    monkeypatch: pytest.MonkeyPatch, scripts: list[Path], tmp_path: Path
) -> None:
    result = run(monkeypatch, scripts, "--out", str(tmp_path / "out"))
    rows = {row.split()[0]: row.split()[1:] for row in result.output.splitlines() if "/out/" in row}
    assert rows["One"] == [*rows["Two"][:4], str(tmp_path / "out" / "1_one")]
    assert rows["One"][:2] == ["2", "2"], "days, and messages of the person"
    assert int(rows["One"][2]) >= 2
    assert result.output.count("60 g oats") == 1, "only the conversation that is shown"
    assert "5.6" not in result.output, "only its one day"


def test_everything_is_shown_on_request(
    monkeypatch: pytest.MonkeyPatch, scripts: list[Path], tmp_path: Path
) -> None:
    result = run(monkeypatch, scripts, "--all", "--out", str(tmp_path / "out"))
    assert result.exit_code == 0
    assert result.output.index("=== One ===") < result.output.index("=== Two ===")
    assert result.output.count("me: 60 g oats") == result.output.count("me: 5.6") == 2


def test_a_reply_that_did_not_come_fails(
    monkeypatch: pytest.MonkeyPatch, scripts: list[Path], tmp_path: Path
) -> None:
    with scripts[0].open("a", encoding="utf-8") as script:
        script.write("2026-03-12 12:11 bot: Good morning*\n")
    result = run(monkeypatch, scripts, "--out", str(tmp_path / "out"))
    assert result.exit_code == 1
    assert "- 2026-03-12 12:11 bot: Good morning*" in result.output
    assert "1 replies" not in result.output
    assert "One reply of the demo did not come as written." in result.output


def test_a_pipe_gets_plain_lines(
    monkeypatch: pytest.MonkeyPatch, scripts: list[Path], tmp_path: Path
) -> None:
    assert "\x1b" not in run(monkeypatch, scripts, "--out", str(tmp_path / "out")).output
