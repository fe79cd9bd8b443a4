"""`chat` in a terminal: history, completion and colours; in pipes it is plain text as ever."""

import contextlib
import io
import os
import pty
import select
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from prompt_toolkit.completion import CompleteEvent
from prompt_toolkit.document import Document
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from bot.channels.console import Console
from bot.channels.prompting import Prompt, TalkCompleter
from tests.talk import Talk, talking

COMMANDS = (("undo", "take the last note back"), ("unit", "mmol/L or mg/dL"), ("day", "today"))
UP, END = "\x1b[A", "\x04"


class Shown(DummyOutput):
    """Keeps what is written."""

    def __init__(self) -> None:
        self.text = ""

    def write(self, data: str) -> None:
        self.text += data

    def write_raw(self, data: str) -> None:
        self.text += data


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as opened:
        opened.say("my muesli is 60 g oats and 20 g raisins")
        yield opened


def prompt_on(keys: PipeInput, shown: Shown, history: Path | None = None) -> Prompt:
    return Prompt(history, COMMANDS, lambda: ["muesli"], lambda: ["Undo"], source=keys, target=shown)


def test_a_talk_in_a_terminal_answers_until_it_is_ended(talk: Talk, tmp_path: Path) -> None:
    shown = Shown()
    with create_pipe_input() as keys:
        keys.send_text(f"2 slices rye toast at 6:30\r(press Undo)\r{END}")
        Console(talk.app, "local", pictures=tmp_path).run_in(prompt_on(keys, shown))
    assert "rye toast 2 slices" in shown.text or "rye toast" in shown.text
    assert "Taken back: breakfast" in shown.text
    assert not talk.meals()


def test_lines_are_remembered_over_talks_and_forgotten_with_the_person(talk: Talk, tmp_path: Path) -> None:
    history, shown = tmp_path / "lines.txt", Shown()
    with create_pipe_input() as keys:
        keys.send_text(f"synced\r{END}")
        Console(talk.app, "local", pictures=tmp_path).run_in(prompt_on(keys, shown, history))
    with create_pipe_input() as keys:
        keys.send_text(f"{UP}\r{END}")
        Console(talk.app, "local", pictures=tmp_path).run_in(prompt_on(keys, shown, history))
    assert len(talk.logged("sync")) == 2
    with create_pipe_input() as keys:
        keys.send_text(f"/erase\r(press Delete everything)\r{END}")
        Console(talk.app, "local", pictures=tmp_path).run_in(prompt_on(keys, shown, history))
    assert not history.exists()


@pytest.mark.parametrize(
    ("said", "offered"),
    [
        ("/un", ["/undo", "/unit"]),
        ("/", ["/undo", "/unit", "/day"]),
        ("had my mue", ["muesli"]),
        ("early-shift br", ["early-shift breakfast"]),
        ("(pr", ["(press Undo)", "(press Fix time)"]),
        ("hello", []),
    ],
)
def test_what_is_offered(said: str, offered: list[str]) -> None:
    words, labels = ["muesli", "early-shift breakfast"], ["Undo", "Fix time", "Undo"]
    completer = TalkCompleter(COMMANDS, lambda: words, lambda: labels)
    completer.look()
    found = completer.get_completions(Document(said), CompleteEvent())
    assert [completion.text for completion in found] == offered


def test_files_are_offered_by_their_paths(tmp_path: Path) -> None:
    (tmp_path / "readings.csv").touch()
    completer = TalkCompleter((), list, list)
    found = list(completer.get_completions(Document(f"(file {tmp_path}/rea"), CompleteEvent()))
    assert [completion.text for completion in found] == ["dings.csv"]


def test_pipes_are_plain_text(talk: Talk, tmp_path: Path) -> None:
    out = io.StringIO()
    Console(talk.app, "local", pictures=tmp_path).run(io.StringIO("synced\n/erase\n"), out)
    assert "> synced\n" in out.getvalue()
    assert "[Undo]" in out.getvalue()
    assert "\x1b" not in out.getvalue()


@pytest.mark.skipif(sys.platform == "win32", reason="a terminal of Unix")
def test_a_real_terminal_offers_a_command(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 100))
    chat = subprocess.Popen(
        [sys.executable, "-m", "bot", "chat", "--db", f"sqlite:///{tmp_path}/t.db", "--out", str(tmp_path)],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env=os.environ | {"TERM": "xterm", "XDG_DATA_HOME": str(tmp_path)},
    )
    os.close(theirs)
    try:
        shown = read_until(ours, "> ")
        os.write(ours, b"/stat")
        shown += read_until(ours, "what is on record")  # what is offered, with its meaning
        os.write(ours, b"us\r")
        shown += read_until(ours, "Your clock is")
        shown += read_until(ours, "> ")
        os.write(ours, END.encode())
        read_to_the_end(ours)
        assert chat.wait(30) == 0
        assert "\x1b[" in shown  # colours and moves of the cursor
    finally:
        chat.kill()
        chat.wait()
        os.close(ours)


def read_to_the_end(terminal: int) -> None:
    """Read what is still shown: who writes to a terminal that nobody reads waits."""
    with contextlib.suppress(OSError):  # how a terminal says that its other side is closed
        while os.read(terminal, 4096):
            pass


def read_until(terminal: int, wanted: str, within_s: float = 60.0) -> str:
    """Return what a terminal shows up to some words; answers to where its cursor is."""
    shown, ends = "", time.monotonic() + within_s
    while wanted not in shown:
        ready, _, _ = select.select([terminal], [], [], max(0.0, ends - time.monotonic()))
        assert ready, f"{wanted!r} did not come: {shown[-500:]!r}"
        part = os.read(terminal, 4096).decode(errors="replace")
        if "\x1b[6n" in part:
            os.write(terminal, b"\x1b[1;1R")
        shown += part
    return shown
