"""Whatever comes out of a turn ends that turn, is told in one sentence, and leaves the chat free."""

import logging
from collections.abc import Callable, Iterator

import pytest

from bot.app import MAX_STARTS
from bot.model.messages import Attachment, Incoming
from bot.reply import fixed
from tests.talk import Talk, talking

WAYS: dict[str, tuple[str, dict[str, object]]] = {
    "words": ("hear", {"text": "60 g oats"}),
    "button": ("press", {"press": "undo:1"}),
    "file": ("receive_file", {"file": Attachment("a.csv", b"a,b")}),
    "command": ("run_command", {"text": "/last"}),
    "plain setting": ("as_command", {"text": "going to bed"}),
    "planning": ("plan_reminders", {"text": "60 g oats"}),
}
ERRORS = [ZeroDivisionError(), StopIteration(), KeyError("x"), AssertionError(), RecursionError()]


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as talk:
        yield talk


def raiser(error: Exception) -> Callable[..., object]:
    def broken(*_: object, **__: object) -> object:
        raise error

    return broken


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
@pytest.mark.parametrize("way", WAYS)
def test_any_error_of_any_way_in_is_told_once_and_the_next_message_is_answered(
    talk: Talk,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    way: str,
    error: Exception,
) -> None:
    name, message = WAYS[way]
    with monkeypatch.context() as patched, caplog.at_level(logging.ERROR):
        patched.setattr(f"bot.talk.turn.{name}", raiser(error))
        assert talk.send(**message) == fixed.BROKEN
    [record] = caplog.records
    assert record.exc_info is not None
    assert record.exc_info[1] is error
    assert talk.meals() == [], "nothing is half stored"
    assert "Noted" in talk.say("60 g oats")


def test_what_was_kept_is_told_once_and_put_aside_in_the_end(
    talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = talk.app
    app.accept([("tg:1", "tg:7", "raw")])
    incoming = Incoming("tg:7", "tg:1", talk.clock.now(), text="60 g oats")
    told = []
    with monkeypatch.context() as patched:
        patched.setattr("bot.talk.turn.hear", raiser(StopIteration()))
        for _ in range(MAX_STARTS):
            assert app.waiting() == [("tg:1", "raw")]
            told += [message.text for message in app.receive(incoming)]
    assert told == [fixed.BROKEN_KEPT]
    assert app.waiting() == []
    [*_, last] = app.unsent()
    assert "failed three times" in last.text


def test_what_broke_is_handled_at_a_later_start(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    app = talk.app
    app.accept([("tg:1", "tg:7", "raw")])
    incoming = Incoming("tg:7", "tg:1", talk.clock.now(), text="60 g oats")
    with monkeypatch.context() as patched:
        patched.setattr("bot.talk.turn.hear", raiser(KeyError("oats")))
        app.receive(incoming)
    assert app.waiting() == [("tg:1", "raw")]
    assert "Noted" in app.receive(incoming)[0].text
    assert app.receive(incoming) == []
