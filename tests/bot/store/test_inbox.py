import signal
import subprocess
import sys

import pytest

from bot.store import open_store
from tests.bot.store.samples import NOW, ONLY_SQLITE, TRAM, add, ensure, later, meal


def test_an_update_is_stored_once(tx):
    assert tx.inbox.add("7", TRAM, "{}", NOW)
    assert not tx.inbox.add("7", TRAM, "{other}", later(1))
    assert [(row.update_id, row.raw, row.received_at) for row in tx.inbox.waiting()] == [("7", "{}", NOW)]


def test_updates_wait_in_the_order_they_came(tx):
    for update_id in ("30", "4", "100"):
        tx.inbox.add(update_id, TRAM, update_id, NOW)
    tx.inbox.finish("4", later(1))
    assert [row.update_id for row in tx.inbox.waiting()] == ["30", "100"]


def test_the_states_of_an_update(tx):
    assert tx.inbox.state("1") is None
    for update_id in "1234":
        tx.inbox.add(update_id, TRAM, "words", NOW)
    assert tx.inbox.state("1") == "new"
    tx.inbox.finish("2", later(1))
    tx.inbox.fail("3", "ZeroDivisionError", later(1))
    tx.inbox.park("4", "started 3 times", later(1))
    assert [tx.inbox.state(u) for u in "1234"] == ["new", "done", "failed", "parked"]
    waiting = {row.update_id: row for row in tx.inbox.waiting()}
    assert set(waiting) == {"1", "3"}, "a failed one waits for another start, a parked one does not"
    assert (waiting["3"].error, waiting["3"].raw) == ("ZeroDivisionError", "words")


def test_starts_are_counted(tx):
    tx.inbox.add("1", TRAM, "", NOW)
    assert [tx.inbox.attempt("1") for _ in range(3)] == [1, 2, 3]
    with pytest.raises(KeyError):
        tx.inbox.attempt("2")


def test_a_claim_succeeds_once_whether_stored_before_or_not(tx):
    tx.inbox.add("stored", TRAM, "words", NOW)
    tx.inbox.add("broken", TRAM, "words", NOW)
    tx.inbox.fail("broken", "why", NOW)
    for update_id in ("stored", "broken", "fresh"):
        assert tx.inbox.claim(update_id, TRAM, later(1))
        assert not tx.inbox.claim(update_id, TRAM, later(2))
        assert tx.inbox.state(update_id) == "done"
        assert not tx.inbox.add(update_id, TRAM, "again", later(3))
    assert tx.inbox.waiting() == []


def test_a_claim_is_undone_with_what_it_was_for(store):
    def handle_and_break() -> None:
        with store.begin() as tx:
            ensure(tx)
            assert tx.inbox.claim("1", TRAM, NOW)
            add(tx, meal())
            raise RuntimeError("power cut")

    with pytest.raises(RuntimeError, match="power cut"):
        handle_and_break()
    with store.begin() as tx:
        assert tx.log.last(TRAM) == []
        assert tx.inbox.claim("1", TRAM, NOW)


@ONLY_SQLITE
def test_the_words_of_a_handled_update_are_not_kept_twice(store, db_file):
    with store.begin() as tx:
        for update_id in ("finished", "claimed"):
            tx.inbox.add(update_id, TRAM, "raw semolina", NOW)
    with store.begin() as tx:
        tx.inbox.finish("finished", NOW)
        tx.inbox.claim("claimed", TRAM, NOW)
    store.close()
    assert b"semolina" not in db_file.read_bytes()


CRASH = """
import sys, time
from datetime import UTC, datetime
from bot.model.entries import Sync
from bot.store import open_store

now = datetime(2026, 3, 2, tzinfo=UTC)
store = open_store(sys.argv[1])
with store.begin() as tx:
    tx.people.ensure("tg:1", zone="UTC", unit="mmol/L", at=now)
    tx.inbox.add("41", "tg:1", "raw", now)
with store.begin() as tx:
    tx.inbox.claim("41", "tg:1", now)
    tx.log.add("tg:1", Sync(now), update_id="41", ordinal=0, message_id=None, at=now)
    print("in the middle", flush=True)
    time.sleep(60)
"""


def test_a_kill_between_receiving_and_handling_loses_nothing_and_stores_no_half(url):
    process = subprocess.Popen([sys.executable, "-c", CRASH, url], stdout=subprocess.PIPE, text=True)
    with process:
        assert process.stdout.readline() == "in the middle\n"
        process.send_signal(signal.SIGKILL)
    assert process.returncode == -signal.SIGKILL
    store = open_store(url)
    with store.begin() as tx:
        assert tx.inbox.state("41") == "new"
        assert [(row.update_id, row.raw) for row in tx.inbox.waiting()] == [("41", "raw")]
        assert tx.log.last_logged(TRAM) is None
        assert tx.inbox.claim("41", TRAM, NOW)
    store.close()


def test_which_of_two_updates_came_first(store):
    with store.begin() as tx:
        for update_id in ("first", "second"):
            assert tx.inbox.add(update_id, "ann", "", NOW)
        assert tx.inbox.came_after("second", "first")
        assert not tx.inbox.came_after("first", "second")
        assert not tx.inbox.came_after("first", "first")
        assert not tx.inbox.came_after("second", "never came")
