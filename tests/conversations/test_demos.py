"""Every demo conversation is played as the command would, and its pictures are drawn."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from bot.app import App
from bot.channels.saying import PRESS, spoken
from bot.channels.script import Line, Play, Sent, play, read_script
from bot.commandline.play import demo_scripts, difference, save_pictures
from bot.model.clock import SettableClock

PNG = b"\x89PNG\r\n\x1a\n"


@pytest.mark.parametrize("path", demo_scripts(), ids=lambda path: path.stem)
def test_the_replies_come_as_written(path: Path, tmp_path: Path) -> None:
    script = read_script(path)
    clock = SettableClock(script.start)
    app = App("sqlite://", zone=script.zone.key, unit=script.unit, clock=clock)
    heard: list[Line | Sent] = []
    try:
        result = play(script, app, clock, "local", heard.append)
        save_pictures(app, Play(sent=result.sent[-3:]), tmp_path)
    finally:
        app.close()
    assert not result.missing, "\n".join(
        difference(path, script, line, waiting) for line, waiting in result.missing
    )
    assert [one.at for one in heard] == sorted(one.at for one in heard)
    drawn = {sent.message.picture.name for sent in result.sent[-3:] if sent.message.picture is not None}
    assert {file.stem for file in tmp_path.glob("*.png")} == drawn
    assert all(file.read_bytes().startswith(PNG) for file in tmp_path.glob("*.png"))


@pytest.mark.parametrize("path", demo_scripts(), ids=lambda path: path.stem)
def test_a_script_plays_the_same_in_a_file_and_a_second_time_says_nothing(path: Path, tmp_path: Path) -> None:
    script = read_script(path)
    # a second time nothing is said, so that there is no button to press
    again = replace(script, lines=tuple(one for one in script.lines if not PRESS.fullmatch(one.text)))
    talks: list[list[tuple[datetime, str]]] = []
    for url in ("sqlite://", f"sqlite:///{tmp_path / 'a.db'}", f"sqlite:///{tmp_path / 'a.db'}"):
        clock = SettableClock(script.start)
        app = App(url, zone=script.zone.key, unit=script.unit, clock=clock)
        try:
            result = play(again if len(talks) == 2 else script, app, clock, "local", lambda _: None)
        finally:
            app.close()
        talks.append([(sent.at, spoken(sent.message)) for sent in result.sent if not sent.message.reminder])
    assert talks[0] == talks[1]
    assert talks[2] == []
