from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import update
from sqlalchemy.exc import IntegrityError, StatementError

from bot.model.entries import Activity, Feeling, Reading, Sensor, Sleep, Sync
from bot.model.errors import StoreError
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
def test_every_kind_comes_back_as_it_was(store, unit, entry):
    logged = add(unit, entry)
    assert logged.entry == entry
    assert (logged.person, logged.at, logged.message_id, logged.update_id) == (TRAM, NOW, "m-u1", "u1")
    assert (logged.logged_at, logged.removed_at) == (NOW, None)
    assert unit.log.get(logged.id) == logged


def test_the_same_entry_of_the_same_update_is_logged_once(unit):
    first = add(unit, meal("oats"))
    assert add(unit, meal("something else"), at=later(5)) == first
    second = add(unit, meal("oats"), ordinal=1)
    other = add(unit, meal("oats"), person=DEPOT)
    assert len({first.id, second.id, other.id}) == 3


def test_an_entry_stands_where_it_happened(unit):
    assert add(unit, Sleep(later(-500), later(-60)), "a").at == later(-500)
    assert add(unit, Sleep(None, later(-60)), "b").at == later(-60)
    assert add(unit, meal(at=None), "c", at=later(3)).at == later(3)


def test_an_entry_needs_a_person(unit):
    with pytest.raises(IntegrityError, match="FOREIGN KEY"):
        add(unit, meal(), person="nobody")


def test_an_unknown_entry(unit):
    assert unit.log.get(99) is None
    for change in (unit.log.remove, unit.log.restore):
        with pytest.raises(KeyError):
            change(99, update_id="u", at=NOW)
    with pytest.raises(KeyError):
        unit.log.amend(99, meal(), update_id="u", at=NOW, what="amount")


def test_finding_by_message_by_time_and_by_order_of_logging(unit):
    late = add(unit, meal("dinner", later(600)), "u1")
    early = add(unit, meal("breakfast", later(10)), "u2")
    walk = add(unit, Activity("walk", 10.0, later(30)), "u2", ordinal=1)
    add(unit, meal("theirs", later(700)), "u3", person=DEPOT)
    log = unit.log
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


def test_amending_keeps_what_was_there(unit):
    before = add(unit, meal("oats"))
    after = unit.log.amend(
        before.id, meal("oats with pear", later(5)), update_id="u2", at=later(9), what="add"
    )
    assert after == replace(before, entry=meal("oats with pear", later(5)), at=later(5))
    assert unit.log.get(before.id) == after
    (change,) = unit.log.history(before.id)
    assert (change.what, change.update_id, change.at) == ("add", "u2", later(9))
    assert (change.before, change.after) == (before.entry, after.entry)


def test_an_amended_entry_without_time_stays_where_it_was(unit):
    before = add(unit, meal(at=None), at=later(3))
    assert unit.log.amend(before.id, meal("x", None), update_id="u2", at=later(50), what="words").at == later(
        3
    )


def test_removed_entries_are_out_of_every_list_and_come_back(unit):
    logged = add(unit, meal())
    removed = unit.log.remove(logged.id, update_id="u2", at=later(1))
    assert removed == replace(logged, removed_at=later(1))
    assert unit.log.remove(logged.id, update_id="u3", at=later(2)) == removed, "once is enough"
    assert unit.log.get(logged.id) == removed
    assert unit.log.last(TRAM) == []
    assert unit.log.last_logged(TRAM) is None
    assert unit.log.of_message(TRAM, "m-u1") == []
    assert unit.log.between(TRAM, ("meal",), None, None) == []
    assert unit.log.restore(logged.id, update_id="u4", at=later(3)) == logged
    assert unit.log.restore(logged.id, update_id="u5", at=later(4)) == logged
    assert unit.log.last(TRAM) == [logged]
    assert [(c.what, c.update_id, c.before, c.after) for c in unit.log.history(logged.id)] == [
        ("removed", "u2", logged.entry, None),
        ("restored", "u4", None, logged.entry),
    ]


def test_instants_are_kept_in_utc_through_a_repeated_hour(unit):
    # 2026-10-25 02:30 happens twice in Vienna: at 00:30 and at 01:30 UTC.
    first = datetime(2026, 10, 25, 2, 30, tzinfo=VIENNA)
    a = add(unit, Sync(first), "a")
    b = add(unit, Sync(first.replace(fold=1)), "b")
    assert a.at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert b.at == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert a.at.tzinfo is UTC
    assert unit.log.between(TRAM, ("sync",), first.replace(fold=1), None) == [b]


def test_a_naive_instant_is_refused_in_rows_and_in_bounds(unit):
    naive = datetime(2026, 3, 2, 8, 0)  # noqa: DTZ001 - that is the point
    with pytest.raises(ValueError, match="no time zone"):
        add(unit, meal(at=naive))
    with pytest.raises(StatementError, match="no time zone"):
        add(unit, meal(), at=naive)
    with pytest.raises(StatementError, match="no time zone"):
        unit.log.between(TRAM, ("meal",), naive, None)
    with pytest.raises(StatementError, match="no time zone"):
        unit.log.between(TRAM, ("meal",), None, naive)


def test_an_entry_of_a_newer_version_is_a_clear_error(store):
    with store.begin() as unit:
        unit.people.ensure(TRAM, zone="UTC", unit="mmol/L", at=NOW)
        logged = add(unit, meal())
    with store._engine.begin() as connection:
        connection.execute(update(entries).values(kind="dream"))
    with store.read() as unit, pytest.raises(StoreError, match="newer tablenote"):
        unit.log.get(logged.id)
