from pathlib import Path

import pytest

from bot.channels.script import read_script
from bot.commandline.main import main
from bot.commandline.understand import explain_batch
from bot.model.errors import BadSetting
from tests.talk import talking


def test_a_script_may_begin_with_a_byte_order_mark(tmp_path: Path) -> None:
    file = tmp_path / "s.chat"
    file.write_text("zone: Europe/Vienna\n\n2026-03-02 07:00 me: toast\n", encoding="utf-8-sig")
    assert read_script(file).zone.key == "Europe/Vienna"


def test_a_batch_may_begin_with_a_byte_order_mark(tmp_path: Path) -> None:
    file = tmp_path / "b.jsonl"
    file.write_text('{"id": 1, "text": "toast"}\n', encoding="utf-8-sig")
    assert [row["id"] for row in explain_batch(file)] == [1]


def test_a_row_nested_without_end_is_named(tmp_path: Path) -> None:
    file = tmp_path / "b.jsonl"
    file.write_text("[" * 200_000, encoding="utf-8")
    with pytest.raises(BadSetting, match="Line 1 "):
        list(explain_batch(file))


def test_a_folder_that_cannot_be_made_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    script, taken = tmp_path / "s.chat", tmp_path / "taken"
    script.write_text("zone: Europe/Vienna\n\n2026-03-02 07:00 me: toast\n", encoding="utf-8")
    taken.write_text("a file", encoding="utf-8")
    monkeypatch.setattr("sys.argv", ["tablenote", "replay", str(script), "--out", str(taken)])
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 1
    assert capsys.readouterr().err.count("\n") == 1


def test_equal_quiet_hours_are_none() -> None:
    with talking() as talk:
        assert talk.say("/quiet 7:00-7:00").startswith("No quiet hours")
