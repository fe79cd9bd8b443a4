"""All that is held about one person, row by row, for them to take along."""

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from sqlalchemy import ColumnElement, Connection, ForeignKey, Table, case, select

from bot.store.tables import metadata, photos

Row = dict[str, Any]
_SECRET = "digest"
"""What is left out: a fingerprint of a token or code says nothing about anybody."""


def rows_of(
    connection: Connection, person: str, pictured: Collection[int] | None = None
) -> dict[str, list[Row]]:
    """Return, for each table that holds anything about a person, its rows by their key.

    pictured: the ids of the photos whose bytes are read; those of the others are None
    Instants are aware, in UTC; bytes are bytes. The same tables are emptied when the person is erased: those
    with a column `person`, the person's own row, and what belongs to such a row.
    """
    found = {table.name: _read(connection, table, person, pictured) for table in metadata.sorted_tables}
    return {name: rows for name, rows in found.items() if rows}


def _read(connection: Connection, table: Table, person: str, pictured: Collection[int] | None) -> list[Row]:
    columns: list[ColumnElement[Any]] = [column for column in table.c if column.name != _SECRET]
    if table is photos and pictured is not None:
        bytes_of_some = case((table.c.id.in_(pictured), table.c.jpeg)).label("jpeg")
        columns = [bytes_of_some if column is table.c.jpeg else column for column in columns]
    query = select(*columns)
    if table.name == "people":
        query = query.where(table.c.id == person)
    elif "person" in table.c:
        query = query.where(table.c.person == person)
    else:
        keys = list(_owners(table))
        if not keys:
            return []
        for key in keys:
            owner = key.column.table
            query = query.join(owner, key.parent == key.column).where(owner.c.person == person)
    ordered = query.order_by(*table.primary_key.columns)
    return [_plain(row) for row in connection.execute(ordered).mappings()]


def _owners(table: Table) -> Iterator[ForeignKey]:
    """Return the keys by which rows of a table without a person belong to somebody's row."""
    return (key for key in table.foreign_keys if "person" in key.column.table.c)


def _plain(row: Mapping[Any, Any]) -> Row:
    return {
        str(name): bytes(value) if isinstance(value, memoryview) else value for name, value in row.items()
    }
