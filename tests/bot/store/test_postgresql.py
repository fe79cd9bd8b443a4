"""The store on PostgreSQL: what goes through the whole bot, and what several processes do at once."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import create_engine, event, text

from bot.model.errors import StoreError
from bot.model.messages import Attachment
from bot.store import Store, open_store, schema
from tests.bot.store.samples import NOW, TRAM, ensure, later, readings
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    store = open_store(address)
    with store.begin() as tx:
        ensure(tx)
    yield store
    store.close()


@pytest.fixture
def talk(address: str) -> Iterator[Talk]:
    with talking(address) as one:
        yield one


def test_rows_of_an_older_version_are_kept(address: str) -> None:
    engine = create_engine(address)
    with engine.begin() as connection:
        schema.upgrade(connection, to="0003")
        for row in (
            "INSERT INTO people "
            "(id, zone, unit, quiet_from, quiet_to, sync_lead_min, memory_min, created_at) "
            f"VALUES ('{TRAM}', 'UTC', 'mmol/L', '23:00:00', '06:30:00', 60, 480, 0)",
            "INSERT INTO imports (id, person, source, name, update_id, at, stored, known, differing) "
            f"VALUES (7, '{TRAM}', 'file', 'a.csv', 'u', 0, 1, 0, 0)",
            f"INSERT INTO readings (person, at, source, mmol, flag, import_id) "
            f"VALUES ('{TRAM}', 0, 'file', 5.4, '', 7)",
        ):
            connection.execute(text(row))
    engine.dispose()
    store = open_store(address)
    with store.begin() as tx:
        assert tx.readings.arrays(TRAM, None, None) == ([0], [5.4], [""])
        person = tx.people.get(TRAM)
        assert person is not None
        assert (person.remind, person.sensor_days) == ("all", 14)
    store.close()


def test_another_programs_database_is_left_alone(address: str) -> None:
    engine = create_engine(address)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE notes (words TEXT)"))
    engine.dispose()
    with pytest.raises(StoreError, match="another program"):
        open_store(address)


def test_a_day_of_talk(talk: Talk) -> None:
    """A meal, its fix, a file twice, its curve, a typed reading, an undo and an erasure."""
    assert "Noted breakfast" in talk.at("07:30").say("60 g oats and 200 ml milk")
    assert "80 g" in talk.say("no, 80 g oats")
    file = readings_csv(MORNING, [5.0, 5.2, 5.9, 6.8, 7.4, 7.1, 6.5, 6.0, 5.6, 5.3, 5.1] + [5.0] * 30)
    said = talk.at("10:30").file(file)
    assert "41 new" in said
    assert "evenness" in said
    assert "0 new readings, 41 known already" in talk.file(file)
    assert "5.6" in talk.say("finger-prick 5.6 at 10:20")
    assert "evenness" in talk.say("how was breakfast?")
    talk.at("13:00").say("100 g cooked rice")
    talk.press("Undo")
    assert len(talk.meals()) == 1
    talk.say("/erase")
    talk.press("Delete everything")
    assert talk.meals() == []


def test_reminders_fall_due_once(talk: Talk) -> None:
    talk.file(readings_csv(MORNING - timedelta(hours=8), [5.0] * 97))
    talk.at("08:00").say("100 g white bread")
    assert talk.at("09:59").tick() == ""
    assert "was 2 h ago" in talk.at("10:00").tick()
    assert talk.tick() == ""
    assert "Please sync by 15:00" in talk.at("14:00").tick()
    assert talk.press("Synced").startswith("Noted: synced at 14:00")


def test_a_pressed_number_too_large_for_a_row_is_just_gone(talk: Talk) -> None:
    for number in (2**31, 2**53, 10**15 - 1):
        assert "not here any more" in talk.send(press=f"undo:{number}", message_id="m")


def test_a_character_that_it_keeps_in_no_text(talk: Talk) -> None:
    assert "oats 60 g" in talk.say("60 g oats\0 and milk")
    assert "3 new" in talk.send(file=Attachment("a\0.csv", readings_csv(MORNING, [5.0] * 3).encode()))
    row = '{"time": "2026-03-02T05:00:00Z", "left glucose\\u0000": 5.0, "right glucose": 6.5}'
    assert "which one is it?" in talk.file(f"[{row}]", name="a.json")


def test_each_due_reminder_is_one_processes(store: Store, address: str) -> None:
    """A second process passes over what the first one holds, and finds nothing when that is done."""
    other = open_store(address)
    with store.begin() as tx:
        tx.reminders.plan(TRAM, "sync", NOW)
    with store.begin() as tx:
        mine = tx.reminders.due(later(1))
        with other.begin() as beside:
            assert beside.reminders.due(later(1)) == []
        tx.reminders.mark([each.id for each in mine], "sent", NOW)
    with other.begin() as beside:
        assert beside.reminders.due(later(1)) == []
    assert len(mine) == 1
    other.close()


def test_many_processes_lose_and_double_nothing(store: Store, address: str) -> None:
    """The same update is claimed once, and the same file stored once, whoever comes first."""
    stores = [store, *(open_store(address) for _ in range(3))]

    def work(one: Store) -> tuple[bool, int]:
        with one.begin() as tx:
            claimed = tx.inbox.claim("same", TRAM, NOW)
        with one.begin() as tx:
            stored = tx.readings.add(TRAM, readings(50), source="file", at=NOW, update_id="u").stored
            tx.reminders.plan(TRAM, "sync", later(5))
        return claimed, stored

    with ThreadPoolExecutor(len(stores)) as pool:
        claims, counts = zip(*pool.map(work, stores), strict=True)
    assert sorted(claims) == [False, False, False, True]
    assert sorted(counts) == [0, 0, 0, 50]
    with store.read() as tx:
        assert tx.readings.count(TRAM) == 50
        assert len(tx.reminders.pending(TRAM)) == 1
    for one in stores[1:]:
        one.close()


def test_a_tick_does_not_look_through_all_that_is_due(store: Store) -> None:
    """Of 5,000 due at one instant it takes the first by an index: sorted, each tick would read them all."""
    micros = int(NOW.timestamp() * 1e6)
    with store._engine.begin() as connection:
        connection.execute(
            text(
                "INSERT INTO people "
                "(id, zone, unit, quiet_from, quiet_to, sync_lead_min, memory_min, created_at) "
                "SELECT 'many:' || n, 'UTC', 'mmol/L', '23:00', '6:30', 60, 480, 0 "
                "FROM generate_series(1, 5000) n"
            )
        )
        connection.execute(
            text(
                "INSERT INTO reminders (person, kind, due_at, state) "
                f"SELECT 'many:' || n, kind, {micros}, 'pending' "
                "FROM generate_series(1, 5000) n, unnest(ARRAY['sync', 'review']) kind"
            )
        )
        connection.execute(text("ANALYZE"))
    plans: list[str] = []

    def explain(connection, cursor, statement, parameters, context, many):  # type: ignore[no-untyped-def]
        rows = cursor.connection.execute("EXPLAIN (ANALYZE) " + statement, parameters).fetchall()
        plans.append("\n".join(row[0] for row in rows))

    with store.begin() as tx:
        event.listen(store._engine, "before_cursor_execute", explain)
        assert len(tx.reminders.due_of(["review", "evening"], NOW, "many:%", 4)) == 4
        assert len(tx.reminders.due(NOW, "many:%", without=["review"])) == 50
        event.remove(store._engine, "before_cursor_execute", explain)
    assert len(plans) == 3
    assert not [plan for plan in plans if "Sort" in plan or "Seq Scan" in plan], plans
