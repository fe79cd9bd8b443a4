"""Every demo conversation is played as the command would, and its pictures are drawn."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import pytest

from bot.app import App
from bot.channels.saying import PRESS, spoken
from bot.channels.script import Line, Play, Script, Sent, play, read_script
from bot.commandline.play import demo_scripts, difference, save_pictures
from bot.model.clock import SettableClock

PNG = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True)
class Played:
    """A conversation that was played in memory, and the folder with its last pictures."""

    path: Path
    script: Script
    result: Play
    heard: list[Line | Sent]
    drawn: Path


@pytest.fixture(scope="module", params=demo_scripts(), ids=lambda path: path.stem)
def played(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Played:
    script = read_script(request.param)
    heard: list[Line | Sent] = []
    folder = tmp_path_factory.mktemp("drawn")
    with running(script, "sqlite://") as (app, clock):
        result = play(script, app, clock, "local", heard.append)
        save_pictures(app, Play(sent=result.sent[-3:]), folder)
    return Played(request.param, script, result, heard, folder)


@contextmanager
def running(script: Script, url: str) -> Iterator[tuple[App, SettableClock]]:
    clock = SettableClock(script.start)
    app = App(url, zone=script.zone.key, unit=script.unit, clock=clock)
    try:
        yield app, clock
    finally:
        app.close()


def said(result: Play) -> list[tuple[datetime, str]]:
    return [(sent.at, spoken(sent.message)) for sent in result.sent if not sent.message.reminder]


def test_the_replies_come_as_written(played: Played) -> None:
    result = played.result
    assert not result.missing, "\n".join(
        difference(played.path, played.script, line, waiting) for line, waiting in result.missing
    )
    assert [one.at for one in played.heard] == sorted(one.at for one in played.heard)
    drawn = {sent.message.picture.name for sent in result.sent[-3:] if sent.message.picture is not None}
    assert {file.stem for file in played.drawn.glob("*.png")} == drawn
    assert all(file.read_bytes().startswith(PNG) for file in played.drawn.glob("*.png"))


def test_a_script_plays_the_same_in_a_file_and_a_second_time_says_nothing(
    played: Played, tmp_path: Path
) -> None:
    script, url = played.script, f"sqlite:///{tmp_path / 'a.db'}"
    with running(script, url) as (app, clock):
        assert said(play(script, app, clock, "local", lambda _: None)) == said(played.result)
    # a second time nothing is said, so that there is no button to press
    again = replace(script, lines=tuple(one for one in script.lines if not PRESS.fullmatch(one.text)))
    with running(script, url) as (app, clock):
        assert said(play(again, app, clock, "local", lambda _: None)) == []
