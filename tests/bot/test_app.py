import sys
from datetime import timedelta
from pathlib import Path

import pytest

from bot.app import MAX_STARTS, App
from bot.model.clock import SettableClock
from bot.model.errors import BadSetting
from bot.model.messages import Incoming
from bot.store.invitations import MOST_OPEN
from tests.talk import MORNING


def start(folder: Path, days: int = 0) -> App:
    clock = SettableClock(MORNING + timedelta(days=days))
    return App(f"sqlite:///{folder / 'bot.db'}", zone="Europe/Vienna", clock=clock)


def test_what_only_waited_while_the_bot_died_again_and_again_is_not_put_aside(tmp_path: Path) -> None:
    app = start(tmp_path)
    app.accept([("tg:1", "tg:7", "raw")])
    for _ in range(MAX_STARTS + 3):
        app.close()
        app = start(tmp_path)
        assert app.waiting() == [("tg:1", "raw")]
    app.close()


def test_what_was_begun_before_comes_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else each start dies of the same update, and those behind it are never handled."""
    app = start(tmp_path)
    for n in (1, 2, 3):
        app.accept([(f"tg:{n}", f"tg:{n}", "raw")])
    app.close()
    app = start(tmp_path)
    assert [key for key, _ in app.waiting()] == ["tg:1", "tg:2", "tg:3"]
    monkeypatch.setattr("bot.talk.words.understand", lambda *_: sys.exit())
    with pytest.raises(SystemExit):
        app.receive(Incoming("tg:1", "tg:1", MORNING, text="toast"))
    app.close()
    app = start(tmp_path)
    assert [key for key, _ in app.waiting()] == ["tg:2", "tg:3", "tg:1"]
    app.close()


def test_a_file_that_the_messenger_keeps_back_is_not_put_aside(tmp_path: Path) -> None:
    app = start(tmp_path)
    app.accept([("tg:1", "tg:7", "raw")])
    for _ in range(MAX_STARTS + 3):
        app.close()
        app = start(tmp_path)
        assert app.waiting() == [("tg:1", "raw")]
        app.failed("tg:1", "TimedOut()", harmless=True)
    app.close()


@pytest.mark.parametrize("broken", ["died", "raised"])
def test_what_breaks_at_every_start_is_put_aside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    app = start(tmp_path)
    app.accept([("tg:1", "tg:7", "raw")])
    for _ in range(MAX_STARTS):
        app.close()
        app = start(tmp_path)
        assert app.waiting() == [("tg:1", "raw")]
        with monkeypatch.context() as patched:
            incoming = Incoming("tg:7", "tg:1", MORNING, text="toast")
            if broken == "raised":
                patched.setattr("bot.talk.words.understand", lambda *_: 1 / 0)
                app.receive(incoming)
            else:
                patched.setattr("bot.talk.words.understand", lambda *_: sys.exit())
                with pytest.raises(SystemExit):
                    app.receive(incoming)
    app.close()
    app = start(tmp_path)
    assert app.waiting() == []
    app.close()


def test_invitations_that_nobody_takes_are_bounded(tmp_path: Path) -> None:
    clock = SettableClock(MORNING)
    app = App(f"sqlite:///{tmp_path / 'bot.db'}", zone="Europe/Vienna", clock=clock)
    codes = [app.invite() for _ in range(MOST_OPEN)]
    with pytest.raises(BadSetting, match="wait to be taken"):
        app.invite()
    assert app.let_in("tg:7", codes[0])
    codes.append(app.invite())
    with pytest.raises(BadSetting):
        app.invite()
    clock.move_to(MORNING + timedelta(days=7))
    assert app.invite()
    app.close()
