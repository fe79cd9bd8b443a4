"""Who deals with whom, where several processes share a database."""

import time
from collections.abc import Callable

import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import DBAPIError

from bot.store import Store, open_store
from tests.bot.store.samples import DEPOT, NOW, ONLY_SQLITE, TRAM, later


def test_a_person_is_held_by_one_at_a_time(address: str) -> None:
    one, other = open_store(address), open_store(address)
    assert one.holds.take(TRAM)
    assert not other.holds.take(TRAM)
    assert other.holds.take(DEPOT)
    one.holds.let_go(TRAM)
    assert other.holds.take(TRAM)
    one.close()
    other.close()


def test_of_many_those_are_held_whom_no_other_holds(address: str) -> None:
    one, other = open_store(address), open_store(address)
    assert one.holds.take(TRAM)
    assert other.holds.take(DEPOT, TRAM, "tg:3") == {DEPOT, "tg:3"}
    other.holds.let_go(DEPOT, "tg:3")
    assert one.holds.take(DEPOT, "tg:3") == {DEPOT, "tg:3"}
    one.close()
    other.close()


def test_who_is_gone_holds_nobody(address: str) -> None:
    one, other = open_store(address), open_store(address)
    assert one.holds.take(TRAM)
    assert one.holds.take_place(1, ()) == 1
    one.close()
    until = time.monotonic() + 5
    while not other.holds.take(TRAM):  # the server notices a moment later
        assert time.monotonic() < until
        time.sleep(0.01)
    assert other.holds.take_place(1, ()) == 1
    other.close()


def test_a_connection_that_is_lost_is_made_anew_with_all_that_was_held(address: str) -> None:
    one, other = open_store(address), open_store(address)
    assert one.holds.take(TRAM)
    with other._engine.begin() as connection:
        connection.execute(
            text(
                "SELECT pg_terminate_backend(pid) FROM pg_locks WHERE locktype = 'advisory' AND "
                "database = (SELECT oid FROM pg_database WHERE datname = current_database())"
            )
        )
    assert one.holds.take(DEPOT)
    assert not other.holds.take(TRAM)
    one.close()
    other.close()


def test_places_are_shared_and_each_is_given_once(address: str) -> None:
    one, other = open_store(address), open_store(address)
    mine = [one.holds.take_place(3, ())]
    mine.append(one.holds.take_place(3, mine))
    theirs = other.holds.take_place(3, ())
    assert sorted([*mine, theirs]) == [1, 2, 3]
    assert other.holds.take_place(3, [theirs]) is None
    one.holds.leave_places(mine)
    assert other.holds.take_place(3, [theirs]) in mine
    one.close()
    other.close()


@ONLY_SQLITE
def test_one_process_holds_everybody(store: Store) -> None:
    assert store.holds.take(TRAM)
    assert not store.holds.shared


def test_what_waits_and_for_whom(store: Store) -> None:
    with store.begin() as tx:
        tx.inbox.add("1", TRAM, "{}", NOW)
        tx.inbox.add("2", DEPOT, "{}", later(5))
        tx.inbox.add("3", "tg:3", "{}", NOW)
        tx.inbox.fail("3", "broke", NOW)
        assert tx.inbox.whose(later(1), failed=False) == {TRAM}
        assert tx.inbox.whose(later(9), failed=True) == {TRAM, DEPOT, "tg:3"}
        assert [row.update_id for row in tx.inbox.waiting([TRAM])] == ["1"]
        assert tx.inbox.waiting(["tg:3"], failed=False) == []


def test_a_server_that_keeps_cutting_it_off_is_asked_again(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cut off while it connects anew, once after the other, it must not keep the connection that was cut."""
    store = open_store(address)
    holds = store.holds
    assert holds.take("tg:1")
    for _ in range(3):
        with monkeypatch.context() as cut:
            connect = holds._connect

            def connect_and_lose(connect: Callable[[], Connection] = connect) -> Connection:
                connection = connect()
                raw = connection.connection.driver_connection
                assert raw is not None
                raw.close()
                return connection

            cut.setattr(holds, "_connect", connect_and_lose)
            with pytest.raises(DBAPIError):
                holds.take("tg:2")
    assert holds.take("tg:2")
    assert holds.take_place(3, ()) == 1
    store.close()
