import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack

import pytest
from sqlalchemy.exc import DBAPIError

from bot.model.entries import Sync
from bot.model.errors import StoreError
from bot.store import Store, Transaction, open_store
from tests.bot.store.samples import NOW, ONLY_SQLITE, TRAM, add, ensure, later, meal

THREADS, EACH = 8, 25


@pytest.fixture(params=["file", "memory", "server"])
def any_store(request):
    address = {"file": "file_url", "server": "address"}.get(request.param)
    store = open_store(request.getfixturevalue(address) if address else "sqlite://")
    with store.begin() as tx:
        ensure(tx)
    yield store
    store.close()


def own(tx: Transaction, who: int) -> int:
    found = tx.log.between(TRAM, ("sync",), None, None)
    return sum(logged.update_id.startswith(f"u-{who}-") for logged in found)


def write_much(store: Store, who: int) -> None:
    for i in range(EACH):
        with store.begin() as tx:
            # Reads first and writes then: where two such transactions overlap, SQLite would refuse one.
            seen = own(tx, who)
            logged = add(tx, Sync(later(i)), f"u-{who}-{i}")
            assert own(tx, who) == seen + 1 == i + 1
            assert tx.inbox.claim(f"u-{who}-{i}", TRAM, NOW)
        with store.read() as tx:
            assert tx.log.get(logged.id) == logged


def test_many_threads_lose_nothing(any_store):
    with ThreadPoolExecutor(THREADS) as pool:
        for done in [pool.submit(write_much, any_store, who) for who in range(THREADS)]:
            done.result()
    with any_store.read() as tx:
        found = tx.log.between(TRAM, ("sync",), None, None)
    assert len({logged.update_id for logged in found}) == len(found) == THREADS * EACH


def test_two_openings_of_one_database_wait_for_each_other(url):
    """As two processes would: they share no lock but that of the database."""
    stores = [open_store(url) for _ in range(4)]
    with stores[0].begin() as tx:
        ensure(tx)
    with ThreadPoolExecutor(len(stores)) as pool:
        for done in [pool.submit(write_much, store, who) for who, store in enumerate(stores)]:
            done.result()
    with stores[0].read() as tx:
        assert len(tx.log.between(TRAM, ("sync",), None, None)) == len(stores) * EACH
    for store in stores:
        store.close()


def test_the_same_update_in_many_threads_is_claimed_once(any_store):
    start = threading.Barrier(THREADS)

    def claim() -> bool:
        start.wait()
        with any_store.begin() as tx:
            return tx.inbox.claim("same", TRAM, NOW)

    with ThreadPoolExecutor(THREADS) as pool:
        claims = [future.result() for future in [pool.submit(claim) for _ in range(THREADS)]]
    assert sorted(claims) == [False] * (THREADS - 1) + [True]


def test_all_or_nothing(any_store):
    def write_and_break() -> None:
        with any_store.begin() as tx:
            add(tx, meal())
            tx.reminders.plan(TRAM, "sync", NOW)
            raise RuntimeError("power cut")

    with pytest.raises(RuntimeError, match="power cut"):
        write_and_break()
    with any_store.read() as tx:
        assert tx.log.last(TRAM) == []
        assert tx.reminders.pending(TRAM) == []


def test_reading_cannot_write(any_store):
    with any_store.read() as tx, pytest.raises(DBAPIError, match=r"read-?only"):
        add(tx, meal())
    with any_store.begin() as tx:
        add(tx, meal())


def test_a_reader_sees_one_state_and_stops_no_writer(store):
    with store.begin() as tx:
        ensure(tx)
    began = time.perf_counter()
    with store.read() as reading:
        assert reading.log.last(TRAM) == []
        with store.begin() as tx:
            add(tx, meal())
        assert reading.log.last(TRAM) == []
    assert time.perf_counter() - began < 5, "nobody waited for the busy timeout"
    with store.read() as reading:
        assert len(reading.log.last(TRAM)) == 1


@ONLY_SQLITE
def test_the_settings_of_sqlite(store):
    """Whole references, erased bytes overwritten, patience; the disk is waited for apart."""
    expected = {
        "journal_mode": "wal",
        "foreign_keys": 1,
        "synchronous": 1,
        "busy_timeout": 10_000,
        "secure_delete": 1,
    }
    connections = [store._engine.connect() for _ in range(2)]
    for connection in connections:
        found = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in expected}
        assert found == expected
        connection.close()


def test_who_waits_in_vain_for_a_connection_is_told_in_words(url):
    """That is none of the message's doing: it waits for better times like one that met a locked database."""
    store = open_store(url)
    store._engine.pool._timeout = 0.1  # SQLAlchemy's own 30 s are too long for a test
    with ExitStack() as held:

        def take_all() -> None:
            for _ in range(100):
                held.enter_context(store.read())

        with pytest.raises(StoreError, match="cannot be used"):
            take_all()
    with store.read() as tx:
        assert tx.people.get(TRAM) is None
    store.close()
