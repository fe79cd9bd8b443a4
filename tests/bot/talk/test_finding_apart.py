"""Answers found in a process of their own: the same, whatever becomes of that process."""

import os
import signal
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.entries import Question
from bot.model.errors import StoreError
from bot.model.messages import Incoming
from bot.store import Transaction, open_store
from bot.talk.answering import AnswerFirst, Finder
from bot.talk.time_limit import OutOfTime
from tests.simulated.logged import FIRST, log_weeks

NOW = FIRST + timedelta(days=14)
ASKED = (
    "how was yesterday?",
    "best and worst meals of the week",
    "compare rye bread and oats",
    "what drives my glucose?",
    "start a test",
    "how did I sleep? what was my fasting glucose this week?",
)


@pytest.fixture
def url(tmp_path: Path) -> str:
    address = f"sqlite:///{tmp_path / 'bot.db'}"
    store = open_store(address)
    log_weeks(store, 14, person="asks")
    store.close()
    return address


@pytest.fixture
def apart(url: str) -> Iterator[App]:
    app = App(url, clock=SettableClock(NOW), zone="Europe/Vienna", works_apart=True)
    yield app
    app.close()


def ask(app: App, text: str, n: int) -> list[str]:
    said = app.receive(Incoming("asks", f"asks:{n}", text=text, sent_at=app.clock.now(), message_id=str(n)))
    return [one.text for one in said]


def processes(app: App) -> list[int]:
    assert app._finder is not None
    return [] if app._finder._pool is None else list(app._finder._pool._processes)


def test_it_is_the_same_answer_and_a_process_that_dies_is_replaced(
    url: str, apart: App, tmp_path: Path
) -> None:
    (tmp_path / "here.db").write_bytes((tmp_path / "bot.db").read_bytes())
    here = App(f"sqlite:///{tmp_path / 'here.db'}", clock=SettableClock(NOW), zone="Europe/Vienna")
    for n, text in enumerate(ASKED, start=1):
        assert ask(apart, text, n) == ask(here, text, n)
        if n == 2:
            [first] = processes(apart)
            os.kill(first, signal.SIGKILL)
    here.close()
    assert processes(apart) != [first]


def test_what_it_has_read_of_somebody_who_is_erased_goes_with_it(apart: App) -> None:
    ask(apart, "how was yesterday?", 1)
    [first] = processes(apart)
    with apart.store.begin() as tx:
        tx.people.erase("asks")
    assert processes(apart) == []
    until = time.monotonic() + 20
    while Path(f"/proc/{first}").exists() and time.monotonic() < until:
        time.sleep(0.05)
    assert not Path(f"/proc/{first}").exists()


def test_a_note_asks_no_other_process(apart: App) -> None:
    assert ask(apart, "50 g cheese at 8:00", 1)
    assert processes(apart) == []


def broken(tx: Transaction) -> None:
    raise OutOfTime


def gone(tx: Transaction) -> None:
    os._exit(75)


def test_what_breaks_there_breaks_the_turn_here_and_the_next_is_answered(url: str, apart: App) -> None:
    ask(apart, "how was yesterday?", 1)
    assert apart._finder is not None
    with apart.store.read() as tx:
        person = tx.people.get("asks")
    assert person is not None
    for look, error in ((broken, OutOfTime), (gone, Exception)):
        with pytest.raises(error):
            apart._finder.find(AnswerFirst(person, {"name": look}))
    assert ask(apart, "how was yesterday?", 2)


def endless(tx: Transaction) -> None:
    time.sleep(600)


def test_what_is_being_found_at_a_stop_waits_for_the_next_start(url: str, apart: App) -> None:
    ask(apart, "how was yesterday?", 1)
    finder = apart._finder
    assert finder is not None
    with apart.store.read() as tx:
        person = tx.people.get("asks")
    assert person is not None
    with ThreadPoolExecutor(1) as pool:
        asked = pool.submit(finder.find, AnswerFirst(person, {"name": endless}))
        while not asked.running():
            time.sleep(0.01)
        finder.close()
        with pytest.raises(StoreError):
            asked.result(timeout=20)


def test_one_that_is_closed_leaves_the_update_for_the_next_start(url: str) -> None:
    finder = Finder(url)
    finder.close()
    store = open_store(url)
    with store.read() as tx:
        person = tx.people.get("asks")
    store.close()
    assert person is not None
    with pytest.raises(StoreError):
        finder.find(AnswerFirst(person, {Question("day"): broken}))
