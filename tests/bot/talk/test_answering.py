"""What is asked is looked up before the turn's transaction, so that nobody's note waits for it."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.entries import Understood
from bot.model.messages import Incoming
from bot.model.talker import TakesLong
from bot.store import Store
from bot.talk.answering import AnswerFirst, TurnAnswers
from bot.understanding import Context, understand
from tests.simulated.logged import FIRST, log_weeks

START = datetime(2026, 3, 3, 9, tzinfo=UTC)
ASKS = "how was yesterday?"


def _say(app: App, person: str, text: str, n: int) -> Incoming:
    return Incoming(person, f"{person}:{n}", text=text, sent_at=app.clock.now(), message_id=str(n))


@pytest.fixture
def app(tmp_path: Path) -> Iterator[App]:
    opened = App(f"sqlite:///{tmp_path / 'bot.db'}", clock=SettableClock(START), zone="Europe/Vienna")
    yield opened
    opened.close()


def test_a_note_is_stored_while_somebody_elses_answer_is_found(
    app: App, monkeypatch: pytest.MonkeyPatch
) -> None:
    app.receive(_say(app, "asks", "50 g cheese", 1))
    real, noted = TurnAnswers.find, []

    def find(*given: Any) -> None:
        with ThreadPoolExecutor(1) as pool:  # it would wait until the end of a transaction that may write
            noted.extend(pool.submit(app.receive, _say(app, "notes", "50 g cheese", 1)).result(timeout=9))
        real(*given)

    monkeypatch.setattr(TurnAnswers, "find", find)
    assert app.receive(_say(app, "asks", ASKS, 2))
    assert len(noted) == 1


def test_where_others_wait_a_question_is_put_off_whole(app: App) -> None:
    app.receive(_say(app, "asks", "50 g cheese", 1))
    question = _say(app, "asks", ASKS, 2)
    for _ in range(2):
        with pytest.raises(TakesLong):
            app.receive(question, quick=True)
    assert len(app.receive(question)) == 1
    assert app.receive(question, quick=True) == []


def test_a_question_beside_a_note_is_answered_with_that_note_in_mind(app: App) -> None:
    said = app.receive(_say(app, "asks", "50 g cheese. what did I note today?", 1), quick=True)
    assert "cheese" in said[-1].text


def test_questions_of_one_message_are_answered_at_once(app: App, monkeypatch: pytest.MonkeyPatch) -> None:
    app.receive(_say(app, "asks", "50 g cheese", 1))
    real, found, read = TurnAnswers.find, [], []

    def find(self: TurnAnswers, store: Store, first: AnswerFirst) -> None:
        found.append(len(first.wanted))
        real(self, store, first)

    def understand_once(text: str, context: Context) -> Understood:
        read.append(text)
        return understand(text, context)

    monkeypatch.setattr(TurnAnswers, "find", find)
    monkeypatch.setattr("bot.talk.words.understand", understand_once)
    asked = "what did I eat today? when did I last sync? how was yesterday?"
    assert len(app.receive(_say(app, "asks", asked, 2))) == 3
    assert (found, read) == ([3], [asked])


def test_a_comparison_is_found_first_too_and_kept(app: App, monkeypatch: pytest.MonkeyPatch) -> None:
    log_weeks(app.store, 14, person="asks")
    app.clock.move_to(FIRST + timedelta(days=14))  # type: ignore[attr-defined]
    begun = []
    real = TurnAnswers.find

    def find(*given: Any) -> None:
        real(*given)
        with app.store.read() as tx:
            begun.append(dict(tx.comparisons.all("asks")))

    monkeypatch.setattr(TurnAnswers, "find", find)
    [said] = app.receive(_say(app, "asks", "compare rye bread and oats", 2))
    assert said.text
    with app.store.read() as tx:
        assert [*tx.comparisons.all("asks")] == ["oats | rye bread"]
    assert begun == [{}]


def test_a_test_is_chosen_first(app: App, monkeypatch: pytest.MonkeyPatch) -> None:
    log_weeks(app.store, 14, person="asks")
    app.clock.move_to(FIRST + timedelta(days=14))  # type: ignore[attr-defined]
    with pytest.raises(TakesLong):
        app.receive(_say(app, "asks", "start a test", 2), quick=True)
    [said] = app.receive(_say(app, "asks", "start a test", 2))
    assert [button.label for button in said.buttons] == ["Agree", "Change", "Not now"]
