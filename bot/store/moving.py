"""Copies everything from one database to another, of either kind, and compares the two afterwards."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select, text
from sqlalchemy.exc import StatementError

from bot.model.entries_json import from_json
from bot.model.errors import StoreError
from bot.store.store import Store, open_store
from bot.store.tables import entries, metadata

_ROWS = 5_000
"""So many rows are in memory at once."""


@dataclass(frozen=True, slots=True)
class Copied:
    """One table after it was copied: its rows, and the checksum over all of them that both databases gave."""

    table: str
    rows: int
    checksum: str


def move(source: str, target: str) -> list[Copied]:
    """Copy what the database at one URL holds into the empty one at another; return what each table came to.

    One transaction on the target: it holds all of it afterwards, or nothing. The source is read as it is at
    one moment; it is brought up to date first where it is older, else not changed. StoreError when the target
    holds anything, or when what was copied reads differently from what was to be copied.
    """
    origin = open_store(source)
    try:
        goal = open_store(target)
        try:
            return _copy_all(origin, goal)
        finally:
            goal.close()
    finally:
        origin.close()


def read_through(url: str) -> None:
    """Read every row of a database, brought up to date first; StoreError where one cannot be read."""
    store = open_store(url)
    try:
        with store.read() as tx:
            lost = _read_all(tx.connection)
    finally:
        store.close()
    if lost:
        raise StoreError(lost)


def _read_all(connection: Connection) -> str:
    """Return what is wrong with the first row that cannot be read, "" where all can."""
    try:
        for table in metadata.sorted_tables:
            for rows in _rows(table, connection):
                for row in rows if table is entries else ():
                    from_json({**row["body"], "kind": row["kind"], "said": row["said"]})
        is_file = connection.dialect.name == "sqlite"
        lost = connection.execute(text("PRAGMA foreign_key_check")).first() if is_file else None
    except (StatementError, ValueError, KeyError, TypeError) as error:
        return f"it holds what cannot be read ({type(error).__name__}). Take another copy."
    return "" if lost is None else f"rows of its table {lost[0]} belong to nothing. Take another copy."


def _copy_all(origin: Store, goal: Store) -> list[Copied]:
    with origin.read() as from_tx, goal.begin() as to_tx:
        reads, writes = from_tx.connection, to_tx.connection
        for table in metadata.sorted_tables:
            if writes.execute(select(table).limit(1)).first() is not None:
                raise StoreError(
                    f"The database to copy into already holds something (in {table.name}); name an empty one."
                )
        copied = [_copy(table, reads, writes) for table in metadata.sorted_tables]
        _keep_counting(reads, writes)
    return copied


def _copy(table: Table, reads: Connection, writes: Connection) -> Copied:
    for rows in _rows(table, reads):
        writes.execute(insert(table), rows)
    there, here = _sum_up(table, reads), _sum_up(table, writes)
    if there != here:
        raise StoreError(
            f"The table {table.name} reads differently after copying, so nothing was kept of it; "
            "the old database is as it was."
        )
    return here


def _rows(table: Table, connection: Connection) -> Iterator[list[dict[str, Any]]]:
    ordered = select(table).order_by(*table.primary_key.columns)
    result = connection.execute(ordered, execution_options={"yield_per": _ROWS})
    for part in result.mappings().partitions():
        yield [dict(row) for row in part]


def _sum_up(table: Table, connection: Connection) -> Copied:
    """Count the rows and sum them up as a checksum that does not depend on their order.

    Databases sort text by rules of their own, so that the hashes of the rows are added.
    """
    count, total = 0, 0
    for rows in _rows(table, connection):
        for row in rows:
            count += 1
            digest = hashlib.sha256(_canonical(row).encode()).digest()
            total = (total + int.from_bytes(digest)) % (1 << 256)
    return Copied(table.name, count, f"{total:064x}")


def _canonical(row: Mapping[str, Any]) -> str:
    return json.dumps(dict(row), sort_keys=True, ensure_ascii=True, default=_plain)


def _plain(value: object) -> str:
    if isinstance(value, bytes | memoryview):
        return hashlib.sha256(value).hexdigest()
    if isinstance(value, date | time):
        return value.isoformat()
    raise TypeError(f"no plain form of {type(value)}")


def _keep_counting(reads: Connection, writes: Connection) -> None:
    """Have the target number new rows after the last number that the source ever gave, erased rows included.

    An old button names an entry by its number: that of an erased one must not come to mean another.
    """
    for table in metadata.sorted_tables:
        key = table.autoincrement_column
        if key is None:
            continue
        last = max(_last_given(table, reads), writes.scalar(select(func.max(key))) or 0)
        if last and writes.dialect.name == "postgresql":
            sequence = writes.scalar(
                text("SELECT pg_get_serial_sequence(:table, :column)"),
                {"table": table.name, "column": key.name},
            )
            writes.execute(text("SELECT setval(:sequence, :last)"), {"sequence": sequence, "last": last})
        elif last and _numbers_on(table):
            name = {"name": table.name, "last": last}
            writes.execute(text("DELETE FROM sqlite_sequence WHERE name = :name"), name)
            writes.execute(text("INSERT INTO sqlite_sequence (name, seq) VALUES (:name, :last)"), name)


def _last_given(table: Table, connection: Connection) -> int:
    key = table.autoincrement_column
    assert key is not None  # asked before
    if connection.dialect.name == "postgresql":
        sequence = "CAST(pg_get_serial_sequence(:table, :column) AS regclass)"
        last = text(f"SELECT pg_sequence_last_value({sequence})")
        return int(connection.scalar(last, {"table": table.name, "column": key.name}) or 0)
    if not _numbers_on(table):
        return 0
    given = connection.scalar(
        text("SELECT seq FROM sqlite_sequence WHERE name = :name"), {"name": table.name}
    )
    return int(given or 0)


def _numbers_on(table: Table) -> bool:
    return bool(table.dialect_options["sqlite"]["autoincrement"])
