from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import IntegrityError

from bot.model.entries import Reading
from tests.bot.store.samples import DEPOT, NOW, TRAM, ensure, later, readings


def put(tx, new, source="file", person=TRAM, update_id="u1", name=""):
    return tx.readings.add(person, new, source=source, at=NOW, update_id=update_id, name=name)


def test_readings_come_back_in_order(tx):
    some = readings(5)
    result = put(tx, list(reversed(some)))
    assert (result.stored, result.known, result.differing) == (5, 0, 0)
    assert (result.first_at, result.last_at) == (NOW, later(20))
    assert tx.readings.between(TRAM, None, None) == some
    assert tx.readings.between(TRAM, later(5), later(15)) == some[1:3], "the end is not included"
    assert tx.readings.between(DEPOT, None, None) == []
    assert tx.readings.count(TRAM) == 5


def test_the_same_stamp_is_known_and_the_first_value_stays(tx):
    put(tx, readings(4))
    again = put(tx, [*readings(6), Reading(9.9, later(25))])
    assert (again.stored, again.known, again.differing) == (2, 5, 1), "also within one lot"
    other = put(tx, readings(6, mmol=7.0))
    assert (other.stored, other.known, other.differing) == (0, 6, 6)
    assert tx.readings.between(TRAM, None, None) == readings(6)


def test_typed_readings_stand_beside_those_of_a_file(tx):
    put(tx, readings(2))
    assert put(tx, [Reading(8.0, NOW)], source="typed").stored == 1
    assert tx.readings.arrays(TRAM, None, None) == (
        [int(NOW.timestamp()), int(NOW.timestamp()), int(later(5).timestamp())],
        [5.0, 8.0, 5.1],
        ["", "", ""],
    )
    assert tx.readings.arrays(TRAM, None, None, sources=["typed"])[1] == [8.0]
    assert tx.readings.arrays(TRAM, later(1), later(6), sources=["file"])[1] == [5.1]
    assert tx.readings.arrays(TRAM, later(6), None) == ([], [], [])


def test_flags_are_kept(tx):
    put(tx, [Reading(22.2, NOW, flag="high limit")])
    assert tx.readings.arrays(TRAM, None, None)[2] == ["high limit"]
    assert tx.readings.between(TRAM, None, None)[0].flag == "high limit"


def test_the_newest_reading(tx):
    assert tx.readings.last_at(TRAM) is None
    put(tx, readings(3))
    put(tx, [Reading(6.0, later(60))], source="typed")
    assert tx.readings.last_at(TRAM) == later(60)
    assert tx.readings.last_at(TRAM, source="file") == later(10)
    assert tx.readings.last_at(DEPOT) is None


def test_one_reading_can_be_taken_back(tx):
    put(tx, readings(2))
    put(tx, [Reading(6.0, NOW)], source="typed")
    assert tx.readings.drop(TRAM, NOW, later(1), source="typed") == 1
    assert tx.readings.drop(TRAM, NOW, later(1), source="typed") == 0
    assert tx.readings.between(TRAM, None, None) == readings(2)


def test_what_was_handed_in_is_listed(tx):
    put(tx, readings(3), update_id="u1", name="day1.csv")
    put(tx, readings(4), update_id="u2", name="day1 again.csv")
    first, second = tx.readings.imports(TRAM)
    assert (first.name, first.source, first.update_id, first.at) == ("day1.csv", "file", "u1", NOW)
    assert (second.result.stored, second.result.known) == (1, 3)
    assert second.result.last_at == later(15)
    assert tx.readings.imports(DEPOT) == []


def test_nothing_is_nothing(tx):
    result = put(tx, [])
    assert (result.stored, result.known, result.first_at, result.last_at) == (0, 0, None, None)


def test_a_reading_needs_a_time_with_a_zone_and_a_person(tx):
    with pytest.raises(ValueError, match="without a time"):
        put(tx, [Reading(5.0, None)])
    with pytest.raises(ValueError, match="no time zone"):
        put(tx, [Reading(5.0, datetime(2026, 3, 2))])  # noqa: DTZ001 - that is the point
    assert tx.readings.count(TRAM) == 0
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
        put(tx, readings(1), person="nobody")


def test_a_repeated_hour_is_two_hours(tx):
    # 2026-10-25 02:30 happens twice in Vienna: at 00:30 and at 01:30 UTC.
    first = datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Vienna"))
    both = [Reading(5.0, first), Reading(6.0, first.replace(fold=1))]
    assert put(tx, both).stored == 2
    assert put(tx, both).known == 2
    assert [r.at for r in tx.readings.between(TRAM, None, None)] == [
        datetime(2026, 10, 25, 0, 30, tzinfo=UTC),
        datetime(2026, 10, 25, 1, 30, tzinfo=UTC),
    ]


def test_four_weeks_of_readings(tx):
    many = readings(8064)
    assert put(tx, many).stored == 8064
    assert put(tx, many).known == 8064
    seconds, mmol, _ = tx.readings.arrays(TRAM, None, None)
    assert seconds == [int(r.at.timestamp()) for r in many]
    assert mmol == [r.mmol for r in many]


@given(
    lots=st.lists(
        st.dictionaries(st.integers(0, 40), st.none() | st.floats(2, 20), max_size=20), min_size=1, max_size=5
    )
)
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_the_lots_each_instant_is_kept_once_and_counted_once(store, lots):
    kept: dict[int, float | None] = {}
    with store.begin() as tx:
        tx.people.erase(TRAM)
        ensure(tx)
        for n, lot in enumerate(lots):
            found = tx.readings.add_columns(
                TRAM,
                [minute * 60_000_000 for minute in lot],
                list(lot.values()),
                flags=["low limit" if value is None else "" for value in lot.values()],
                source="file",
                at=NOW,
                update_id=f"u{n}",
            )
            values = {minute for minute, value in lot.items() if value is not None}
            assert (found.stored, found.known) == (len(values - kept.keys()), len(values & kept.keys()))
            kept = lot | kept
        seconds, mmol, flags = tx.readings.arrays(TRAM, None, None)
        assert dict(zip(seconds, mmol, strict=True)) == {minute * 60: v for minute, v in kept.items()}
        assert [flag == "low limit" for flag in flags] == [value is None for value in mmol]
        assert tx.readings.count(TRAM) == sum(value is not None for value in kept.values())


def test_an_import_is_taken_back_by_whom_it_is(tx):
    put(tx, readings(3), update_id="a")
    put(tx, readings(5), update_id="b")
    assert tx.readings.drop_lots(DEPOT, tx.readings.lots(TRAM, "b")) == 0
    assert tx.readings.drop_lots(TRAM, tx.readings.lots(TRAM, "b")) == 2
    assert tx.readings.between(TRAM, None, None) == readings(3)
    assert [one.update_id for one in tx.readings.imports(TRAM)] == ["a"]
