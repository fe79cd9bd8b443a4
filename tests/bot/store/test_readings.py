from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import IntegrityError

from bot.model.entries import Reading
from bot.store import open_store
from tests.bot.store.samples import DEPOT, NOW, TRAM, ensure, later, readings


def put(unit, new, source="file", person=TRAM, update_id="u1", name=""):
    return unit.readings.add(person, new, source=source, at=NOW, update_id=update_id, name=name)


def test_readings_come_back_in_order(unit):
    some = readings(5)
    result = put(unit, list(reversed(some)))
    assert (result.stored, result.known, result.differing) == (5, 0, 0)
    assert (result.first_at, result.last_at) == (NOW, later(20))
    assert unit.readings.between(TRAM, None, None) == some
    assert unit.readings.between(TRAM, later(5), later(15)) == some[1:3], "the end is not included"
    assert unit.readings.between(DEPOT, None, None) == []
    assert unit.readings.count(TRAM) == 5


def test_the_same_stamp_is_known_and_the_first_value_stays(unit):
    put(unit, readings(4))
    again = put(unit, [*readings(6), Reading(9.9, later(25))])
    assert (again.stored, again.known, again.differing) == (2, 5, 1), "also within one lot"
    other = put(unit, readings(6, mmol=7.0))
    assert (other.stored, other.known, other.differing) == (0, 6, 6)
    assert unit.readings.between(TRAM, None, None) == readings(6)


def test_typed_readings_stand_beside_those_of_a_file(unit):
    put(unit, readings(2))
    assert put(unit, [Reading(8.0, NOW)], source="typed").stored == 1
    assert unit.readings.arrays(TRAM, None, None) == (
        [int(NOW.timestamp()), int(NOW.timestamp()), int(later(5).timestamp())],
        [5.0, 8.0, 5.1],
        ["", "", ""],
    )
    assert unit.readings.arrays(TRAM, None, None, sources=["typed"])[1] == [8.0]
    assert unit.readings.arrays(TRAM, later(1), later(6), sources=["file"])[1] == [5.1]
    assert unit.readings.arrays(TRAM, later(6), None) == ([], [], [])


def test_flags_are_kept(unit):
    put(unit, [Reading(22.2, NOW, flag="high limit")])
    assert unit.readings.arrays(TRAM, None, None)[2] == ["high limit"]
    assert unit.readings.between(TRAM, None, None)[0].flag == "high limit"


def test_the_newest_reading(unit):
    assert unit.readings.last_at(TRAM) is None
    put(unit, readings(3))
    put(unit, [Reading(6.0, later(60))], source="typed")
    assert unit.readings.last_at(TRAM) == later(60)
    assert unit.readings.last_at(TRAM, source="file") == later(10)
    assert unit.readings.last_at(DEPOT) is None


def test_one_reading_can_be_taken_back(unit):
    put(unit, readings(2))
    put(unit, [Reading(6.0, NOW)], source="typed")
    assert unit.readings.drop(TRAM, NOW, later(1), source="typed") == 1
    assert unit.readings.drop(TRAM, NOW, later(1), source="typed") == 0
    assert unit.readings.between(TRAM, None, None) == readings(2)


def test_what_was_handed_in_is_listed(unit):
    put(unit, readings(3), update_id="u1", name="day1.csv")
    put(unit, readings(4), update_id="u2", name="day1 again.csv")
    first, second = unit.readings.imports(TRAM)
    assert (first.name, first.source, first.update_id, first.at) == ("day1.csv", "file", "u1", NOW)
    assert (second.result.stored, second.result.known) == (1, 3)
    assert second.result.last_at == later(15)
    assert unit.readings.imports(DEPOT) == []


def test_nothing_is_nothing(unit):
    result = put(unit, [])
    assert (result.stored, result.known, result.first_at, result.last_at) == (0, 0, None, None)


def test_a_reading_needs_a_time_with_a_zone_and_a_person(unit):
    with pytest.raises(ValueError, match="without a time"):
        put(unit, [Reading(5.0, None)])
    with pytest.raises(ValueError, match="no time zone"):
        put(unit, [Reading(5.0, datetime(2026, 3, 2))])  # noqa: DTZ001 - that is the point
    assert unit.readings.count(TRAM) == 0
    with pytest.raises(IntegrityError, match="FOREIGN KEY"):
        put(unit, readings(1), person="nobody")


def test_a_repeated_hour_is_two_hours(unit):
    # 2026-10-25 02:30 happens twice in Vienna: at 00:30 and at 01:30 UTC.
    first = datetime(2026, 10, 25, 2, 30, tzinfo=ZoneInfo("Europe/Vienna"))
    both = [Reading(5.0, first), Reading(6.0, first.replace(fold=1))]
    assert put(unit, both).stored == 2
    assert put(unit, both).known == 2
    assert [r.at for r in unit.readings.between(TRAM, None, None)] == [
        datetime(2026, 10, 25, 0, 30, tzinfo=UTC),
        datetime(2026, 10, 25, 1, 30, tzinfo=UTC),
    ]


def test_four_weeks_of_readings(unit):
    many = readings(8064)
    assert put(unit, many).stored == 8064
    assert put(unit, many).known == 8064
    seconds, mmol, _ = unit.readings.arrays(TRAM, None, None)
    assert seconds == [int(r.at.timestamp()) for r in many]
    assert mmol == [r.mmol for r in many]


@given(
    lots=st.lists(
        st.dictionaries(st.integers(0, 40), st.none() | st.floats(2, 20), max_size=20), min_size=1, max_size=5
    )
)
@settings(max_examples=30, deadline=None)
def test_whatever_the_lots_each_instant_is_kept_once_and_counted_once(lots):
    store = open_store("sqlite://")
    kept: dict[int, float | None] = {}
    with store.begin() as unit:
        ensure(unit)
        for n, lot in enumerate(lots):
            found = unit.readings.add_columns(
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
        seconds, mmol, flags = unit.readings.arrays(TRAM, None, None)
        assert dict(zip(seconds, mmol, strict=True)) == {minute * 60: v for minute, v in kept.items()}
        assert [flag == "low limit" for flag in flags] == [value is None for value in mmol]
        assert unit.readings.count(TRAM) == sum(value is not None for value in kept.values())
    store.close()


def test_an_import_is_taken_back_by_whom_it_is(unit):
    put(unit, readings(3), update_id="a")
    put(unit, readings(5), update_id="b")
    assert unit.readings.drop_lots(DEPOT, unit.readings.lots(TRAM, "b")) == 0
    assert unit.readings.drop_lots(TRAM, unit.readings.lots(TRAM, "b")) == 2
    assert unit.readings.between(TRAM, None, None) == readings(3)
    assert [one.update_id for one in unit.readings.imports(TRAM)] == ["a"]
