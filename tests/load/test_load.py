"""What the load test makes and measures is what it says."""

from pathlib import Path

import pytest

from bot.store import open_store
from tests.bot.channels.serving import run_serve
from tests.load.__main__ import hand_by_push
from tests.load.people import DAYS, EVERY_MIN, fill
from tests.load.reminders import lateness
from tests.load.traffic import Crowd, in_server, write


@pytest.fixture(scope="module")
def db(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("load")
    fill(f"sqlite:///{folder}/load.db", 3)
    return folder / "load.db"


def test_each_has_a_month_of_their_own(db: Path) -> None:
    store = open_store(f"sqlite:///{db}")
    with store.read() as tx:
        first, last = (tx.log.last(person, n=200) for person in ("tg:0", "tg:2"))
        counts = [tx.readings.count(f"tg:{n}") for n in range(3)]
    store.close()
    assert len(first) == len(last) > 2 * DAYS
    assert {one.id for one in first}.isdisjoint(one.id for one in last)
    assert counts == [DAYS * 1440 // EVERY_MIN] * 3


def test_everything_mixed_is_answered(db: Path) -> None:
    with Crowd(3) as api, run_serve(api, db, within_s=90, TABLENOTE_LOG="ERROR", TABLENOTE_COPIES="0"):
        found = in_server(api, write(api, hand_by_push(api), 12, 3, 2, seed=1, mixed=True))
    assert found.unanswered == 0
    assert sum(map(len, found.took.values())) == 12
    assert found.centiles()[1] >= found.centiles()[0] > 0


def test_lateness_counts_from_when_each_was_due() -> None:
    said = lateness({1: 10.0, 2: 11.0, 3: 12.0}, [(1, 12.0), (2, 9.0), (2, 12.0), (2, 30.0)])
    assert said == "late by p50 2.0 s, p99 2.0 s, at most 2.0 s; 1 not said"
