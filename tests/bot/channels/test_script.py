from pathlib import Path

import pytest

from bot.channels.script import matches, read_script
from bot.model.errors import BadScript
from bot.model.messages import Button, Outgoing, PictureSpec

HEAD = "zone: Europe/Vienna\nunit: mg/dL\nname: test\n\n"


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "test.chat"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_script_is_read(tmp_path: Path) -> None:
    script = read_script(
        write(
            tmp_path,
            "# a comment\n"
            + HEAD
            + "2026-03-02 07:10 me: toast\n    and jam\n\n# more\n2026-03-02 07:10 bot: Noted*\n",
        )
    )
    assert (script.zone.key, script.unit, script.name) == ("Europe/Vienna", "mg/dL", "test")
    assert [(line.who, line.text, line.number) for line in script.lines] == [
        ("me", "toast\nand jam", 6),
        ("bot", "Noted*", 10),
    ]
    assert script.start == script.lines[0].at
    assert script.start.utcoffset() is not None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "holds no lines"),
        (HEAD, "holds no lines"),
        ("zone: Nowhere/Land\n\n2026-03-02 07:10 me: a\n", "Nowhere/Land"),
        ("colour: red\n\n2026-03-02 07:10 me: a\n", "line 1"),
        ("unit: stones\n\n2026-03-02 07:10 me: a\n", "stones"),
        (HEAD + "2026-03-02 07:10 you: a\n", "line 5"),
        (HEAD + "2026-13-02 07:10 me: a\n", "no date"),
        (HEAD + "2026-03-02 07:10 me: a\n2026-03-02 07:09 me: b\n", "order of time"),
        ("start: soon\n\n2026-03-02 07:10 me: a\n", "start"),
        ("start: 2026-03-03 07:00\n\n2026-03-02 07:10 me: a\n", "after the first line"),
    ],
)
def test_what_cannot_be_read_is_named(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(BadScript) as error:
        read_script(write(tmp_path, text))
    assert says in str(error.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadScript, match="cannot be read"):
        read_script(tmp_path / "none.chat")


MESSAGE = Outgoing(
    "local",
    "Noted [lunch].\nAbout 50 g.",
    buttons=(Button("Undo", "undo:1"),),
    picture=PictureSpec("curve", "pic"),
)


@pytest.mark.parametrize(
    ("pattern", "fits"),
    [
        ("Noted [lunch].\nAbout 50 g.", True),
        ("Noted [lunch].*", True),
        ("Noted ?lunch?.*g.", True),
        ("*(picture pic.png)*[Undo]", True),
        ("Noted", False),
        ("noted*", False),
        ("Noted l*", False),
        ("*[Redo]", False),
    ],
)
def test_patterns(pattern: str, fits: bool) -> None:
    assert matches(pattern, MESSAGE) is fits
