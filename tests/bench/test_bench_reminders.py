"""A tick with 100,000 reminders planned: what is due is found and said in less than 50 ms."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from sqlalchemy import insert

from bot.store.tables import entries, people, reminders
from tests.talk import MORNING, Talk, talking

PEOPLE, EACH = 10_000, 10
MOST_S = 0.050


@pytest.fixture(scope="module")
def crowd(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Talk]:
    """An SQLite file with ten thousand people, who wait for ten reminders each, over a week."""
    url = f"sqlite:///{tmp_path_factory.mktemp('crowd') / 'crowd.db'}"
    with talking(url) as talk:
        talk.say("hello")
        with talk.app.store.begin() as tx:
            connection = tx.reminders._connection
            template = dict(connection.execute(people.select()).one()._mapping)
            connection.execute(insert(people), [template | {"id": f"tg:{n}"} for n in range(PEOPLE)])
            connection.execute(insert(reminders), list(planned(MORNING)))
            connection.execute(insert(entries), list(synced(MORNING - timedelta(hours=7, minutes=30))))
        yield talk


def planned(start: datetime) -> Iterator[dict[str, object]]:
    for n in range(PEOPLE):
        for k in range(EACH):
            due_at = start + timedelta(minutes=(n * 7 + k * 1009) % 10_080)
            yield {
                "person": f"tg:{n}",
                "kind": f"kind{k}" if k else "sync",
                "due_at": due_at,
                "state": "pending",
            }


def synced(at: datetime) -> Iterator[dict[str, object]]:
    for n in range(PEOPLE):
        body = {"at": at.isoformat()}
        yield {"person": f"tg:{n}", "kind": "sync", "at": at, "said": "synced", "body": body,
               "update_id": f"s{n}", "ordinal": 0, "logged_at": at}  # fmt: skip


def test_a_tick_with_nothing_due(crowd: Talk, benchmark: BenchmarkFixture) -> None:
    assert crowd.app.tick()  # what is due at once is said
    benchmark.pedantic(crowd.app.tick, rounds=100)
    assert median(benchmark.stats.stats.data) < MOST_S


def test_a_tick_with_ten_due(crowd: Talk, benchmark: BenchmarkFixture) -> None:
    minutes = iter(range(1, 1_000))

    def move_on() -> None:
        crowd.clock.move_to(MORNING + timedelta(minutes=next(minutes)))

    benchmark.pedantic(crowd.app.tick, setup=move_on, rounds=60)
    said = sum(1 for message in crowd.app.unsent() if "Sync your sensor" in message.text)
    assert said >= 60, "each minute somebody is to be asked, or this measures nothing"
    assert median(benchmark.stats.stats.data) < MOST_S
