from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import update
from sqlalchemy.exc import IntegrityError, StatementError

from bot.model.entries import Activity, Feeling, Reading, Sensor, Sleep, Sync
from bot.model.errors import StoreError
from bot.store.log import _logged
from bot.store.tables import entries
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, later, meal

VIENNA = ZoneInfo("Europe/Vienna")


@pytest.mark.parametrize(
    "entry",
    [
        meal(),
        Activity("walk", 10.0, NOW, said="walked 10 min"),
        Reading(5.4, NOW, flag="high limit"),
        Sleep(NOW, later(400)),
        Sync(NOW),
        Sensor("started", NOW),
        Feeling("tired", NOW),
    ],
    ids=lambda entry: type(entry).__name__,
)
def test_every_kind_comes_back_as_it_was(store, tx, entry):
    logged = add(tx, entry)
    assert logged.entry == entry
    assert (logged.person, logged.at, logged.message_id, logged.update_id) == (TRAM, NOW, "m-u1", "u1")
    assert (logged.logged_at, logged.removed_at) == (NOW, None)
    assert tx.log.get(logged.id) == logged


def test_the_same_entry_of_the_same_update_is_logged_once(tx):
    first = add(tx, meal("oats"))
    assert add(tx, meal("something else"), at=later(5)) == first
    second = add(tx, meal("oats"), ordinal=1)
    other = add(tx, meal("oats"), person=DEPOT)
    assert len({first.id, second.id, other.id}) == 3


def test_an_entry_stands_where_it_happened(tx):
    assert add(tx, Sleep(later(-500), later(-60)), "a").at == later(-500)
    assert add(tx, Sleep(None, later(-60)), "b").at == later(-60)
    assert add(tx, meal(at=None), "c", at=later(3)).at == later(3)


def test_an_entry_needs_a_person(tx):
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
        add(tx, meal(), person="nobody")


def test_an_unknown_entry(tx):
    assert tx.log.get(99) is None
    for change in (tx.log.remove, tx.log.restore):
        with pytest.raises(KeyError):
            change(99, update_id="u", at=NOW)
    with pytest.raises(KeyError):
        tx.log.amend(99, meal(), update_id="u", at=NOW, what="amount")


def test_finding_by_message_by_time_and_by_order_of_logging(tx):
    late = add(tx, meal("dinner", later(600)), "u1")
    early = add(tx, meal("breakfast", later(10)), "u2")
    walk = add(tx, Activity("walk", 10.0, later(30)), "u2", ordinal=1)
    add(tx, meal("theirs", later(700)), "u3", person=DEPOT)
    log = tx.log
    assert log.of_message(TRAM, "m-u2") == [early, walk]
    assert log.of_message(DEPOT, "m-u2") == []
    assert log.last(TRAM) == [late]
    assert log.last(TRAM, ("meal", "activity"), n=5) == [late, walk, early]
    assert log.last_logged(TRAM) == walk
    assert log.last_logged(TRAM, kinds=("meal",)) == early
    assert log.last_logged(TRAM, kinds=("sleep",)) is None
    assert log.between(TRAM, ("meal",), later(10), later(600)) == [early], "the end is not included"
    assert log.between(TRAM, ("meal",), later(11), later(601)) == [late]
    assert log.between(TRAM, ("meal", "activity"), None, None) == [early, walk, late]
    assert log.between(TRAM, (), None, None) == []


def test_amending_keeps_what_was_there(tx):
    before = add(tx, meal("oats"))
    after = tx.log.amend(before.id, meal("oats with pear", later(5)), update_id="u2", at=later(9), what="add")
    assert after == replace(before, entry=meal("oats with pear", later(5)), at=later(5))
    assert tx.log.get(before.id) == after
    (change,) = tx.log.history(before.id)
    assert (change.what, change.update_id, change.at) == ("add", "u2", later(9))
    assert (change.before, change.after) == (before.entry, after.entry)


def test_an_amended_entry_without_time_stays_where_it_was(tx):
    before = add(tx, meal(at=None), at=later(3))
    assert tx.log.amend(before.id, meal("x", None), update_id="u2", at=later(50), what="words").at == later(3)


def test_removed_entries_are_out_of_every_list_and_come_back(tx):
    logged = add(tx, meal())
    removed = tx.log.remove(logged.id, update_id="u2", at=later(1))
    assert removed == replace(logged, removed_at=later(1))
    assert tx.log.remove(logged.id, update_id="u3", at=later(2)) == removed, "once is enough"
    assert tx.log.get(logged.id) == removed
    assert tx.log.last(TRAM) == []
    assert tx.log.last_logged(TRAM) is None
    assert tx.log.of_message(TRAM, "m-u1") == []
    assert tx.log.between(TRAM, ("meal",), None, None) == []
    assert tx.log.restore(logged.id, update_id="u4", at=later(3)) == logged
    assert tx.log.restore(logged.id, update_id="u5", at=later(4)) == logged
    assert tx.log.last(TRAM) == [logged]
    assert [(c.what, c.update_id, c.before, c.after) for c in tx.log.history(logged.id)] == [
        ("removed", "u2", logged.entry, None),
        ("restored", "u4", None, logged.entry),
    ]


def test_instants_are_kept_in_utc_through_a_repeated_hour(tx):
    # 2026-10-25 02:30 happens twice in Vienna: at 00:30 and at 01:30 UTC.
    first = datetime(2026, 10, 25, 2, 30, tzinfo=VIENNA)
    a = add(tx, Sync(first), "a")
    b = add(tx, Sync(first.replace(fold=1)), "b")
    assert a.at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert b.at == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert a.at.tzinfo is UTC
    assert tx.log.between(TRAM, ("sync",), first.replace(fold=1), None) == [b]


def test_a_naive_instant_is_refused_in_rows_and_in_bounds(tx):
    naive = datetime(2026, 3, 2, 8, 0)  # noqa: DTZ001 - that is the point
    with pytest.raises(ValueError, match="no time zone"):
        add(tx, meal(at=naive))
    with pytest.raises(StatementError, match="no time zone"):
        add(tx, meal(), at=naive)
    with pytest.raises(StatementError, match="no time zone"):
        tx.log.between(TRAM, ("meal",), naive, None)
    with pytest.raises(StatementError, match="no time zone"):
        tx.log.between(TRAM, ("meal",), None, naive)


def test_an_entry_of_a_newer_version_is_a_clear_error(store):
    with store.begin() as tx:
        tx.people.ensure(TRAM, zone="UTC", unit="mmol/L", at=NOW)
        logged = add(tx, meal())
    with store._engine.begin() as connection:
        connection.execute(update(entries).values(kind="dream"))
    with store.read() as tx, pytest.raises(StoreError, match="newer tablenote"):
        tx.log.get(logged.id)


def test_no_entry_stays_in_memory_once_somebody_is_erased(tx):
    add(tx, meal())
    tx.log.last(TRAM)
    assert _logged.cache_info().currsize
    tx.people.erase(TRAM)
    assert not _logged.cache_info().currsize
