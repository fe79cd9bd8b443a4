"""From one database to another: every row reads the same, numbers go on, and nothing is half copied."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, Table, create_engine, select

from bot.model.errors import StoreError
from bot.store import moving, open_store
from bot.store.everything import rows_of
from bot.store.moving import move
from bot.store.tables import metadata
from tests.bot.store.full import fill
from tests.bot.store.samples import TRAM, add, ensure, meal


@pytest.fixture
def url(file_url: str) -> str:
    return file_url


def _held(url: str) -> dict[str, object]:
    engine = create_engine(url)
    with engine.connect() as connection:
        found = rows_of(connection, TRAM)
    engine.dispose()
    return found


def test_every_table_is_filled_so_that_every_column_is_tried(url: str) -> None:
    fill(url)
    engine = create_engine(url)
    with engine.connect() as connection:
        empty = [t.name for t in metadata.sorted_tables if connection.execute(select(t)).first() is None]
    engine.dispose()
    assert empty == []


def test_from_sqlite_to_postgresql_and_back(url: str, address: str, tmp_path: Path) -> None:
    fill(url)
    there = move(url, address)
    back = f"sqlite:///{tmp_path / 'back.db'}"
    assert move(address, back) == there
    assert sum(table.rows for table in there) >= len(metadata.sorted_tables)
    assert _held(url) == _held(address) == _held(back)


def test_a_number_that_was_given_once_is_not_given_again(url: str, address: str) -> None:
    store = open_store(url)
    with store.begin() as tx:
        ensure(tx)
        last = add(tx, meal(), "u1"), add(tx, meal(), "u2")
    with store.begin() as tx:
        tx.people.erase(TRAM)
    store.close()
    move(url, address)
    moved = open_store(address)
    with moved.begin() as tx:
        ensure(tx)
        assert add(tx, meal(), "u3").id > last[1].id
    moved.close()


def test_a_database_with_anything_in_it_is_not_written_to(url: str, tmp_path: Path) -> None:
    fill(url)
    goal = f"sqlite:///{tmp_path / 'other.db'}"
    store = open_store(goal)
    with store.begin() as tx:
        ensure(tx, "tg:9")
    store.close()
    with pytest.raises(StoreError, match="already holds something"):
        move(url, goal)
    assert _held(goal) == {}


def test_what_reads_differently_is_not_kept(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(url)

    real, calls = moving._rows, iter(range(1000))

    def garble_the_first(table: Table, connection: Connection) -> Iterator[list[dict[str, object]]]:
        first = next(calls) == 0
        for rows in real(table, connection):
            yield [{**row, "person": "tg:9"} for row in rows] if first else rows

    monkeypatch.setattr(moving, "_rows", garble_the_first)
    goal = f"sqlite:///{tmp_path / 'other.db'}"
    with pytest.raises(StoreError, match="reads differently"):
        move(url, goal)
    monkeypatch.undo()
    assert _held(goal) == {}
