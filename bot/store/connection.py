"""The connection of one transaction: what is asked for again is read once.

What was read is kept until the transaction ends, or something is written that may have changed it: to its
table, or to one with whose rows its rows go when they are deleted.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import cache, lru_cache
from typing import Any, TypeVar, cast

import sqlalchemy
from sqlalchemy import (
    CursorResult,
    Dialect,
    Executable,
    Row,
    ScalarResult,
    Select,
    Table,
    bindparam,
    exists,
    select,
)
from sqlalchemy.sql import visitors

from bot.store import tables
from bot.store.metadata import metadata

T = TypeVar("T")
Values = Mapping[str, Any] | Sequence[Mapping[str, Any]]

_SELDOM_HELD = (
    tables.pending,
    tables.facts,
    tables.personal_words,
    tables.trials,
    tables.shift_switches,
    tables.photos,
    tables.asked,
)
"""Of these tables most people have no row, and a turn looks into all of them."""
_HELD = cast(
    Select[Any], select(*(exists().where(table.c.person == bindparam("person")) for table in _SELDOM_HELD))
)
MOST_KEPT = 500
"""An answer of more rows is not kept: it belongs to what looks through all of a record, once."""


class Connection:
    """A connection of SQLAlchemy's that notices what is written."""

    def __init__(self, connection: sqlalchemy.Connection) -> None:
        self._connection = connection
        self._kept: dict[tuple[Any, ...], list[Any]] = {}

    @property
    def dialect(self) -> Dialect:
        """What kind of database it is."""
        return self._connection.dialect

    def execute(
        self,
        statement: Executable,
        values: Values | None = None,
        *,
        execution_options: Mapping[str, Any] | None = None,
    ) -> CursorResult[*tuple[Any, ...]]:
        """Make a statement."""
        self._forget(statement)
        return self._connection.execute(statement, values, execution_options=execution_options)

    def scalar(self, statement: Executable, values: Mapping[str, Any] | None = None) -> Any | None:
        """Make a statement and return its first value, None without one."""
        self._forget(statement)
        return self._connection.scalar(statement, values)

    def scalars(self, statement: Executable, values: Mapping[str, Any] | None = None) -> ScalarResult[Any]:
        """Make a statement and give the first value of each row."""
        self._forget(statement)
        return self._connection.scalars(statement, values)

    def exec_driver_sql(self, statement: str, values: Any) -> None:
        """Make a statement as the driver has it."""
        self._kept.clear()
        self._connection.exec_driver_sql(statement, values)

    def once(self, statement: Select[Any], read: Callable[[Row[Any]], T], /, **values: Any) -> list[T]:
        """Return what `read` makes of each row, reading again only what may have changed.

        statement, read: the same objects each time, so no statement made for one call
        """
        key = (statement, read, *values.values())
        found = self._kept.get(key)
        if found is None:
            found = [read(row) for row in self._connection.execute(statement, values)]
            if len(found) <= MOST_KEPT:
                self._kept[key] = found
        return list(found)

    def holds(self, table: Table, person: str) -> bool:
        """Tell whether one of the tables seldom used has rows of a person; one statement asks for all."""
        found = self.once(_HELD, _as_tuple, person=person)[0]
        return bool(found[_SELDOM_HELD.index(table)])

    def _forget(self, statement: Executable) -> None:
        if statement.is_select or not self._kept:
            return
        written = getattr(statement, "table", None)
        if not isinstance(written, Table):
            self._kept.clear()
            return
        changed = _gone_with(written.name) if statement.is_delete else {written.name}
        for key in [key for key in self._kept if not changed.isdisjoint(_tables_of(key[0]))]:
            del self._kept[key]


def _as_tuple(row: Row[Any]) -> tuple[Any, ...]:
    return tuple(row)


@lru_cache(256)
def _tables_of(statement: Select[Any]) -> frozenset[str]:
    return frozenset(cast(Table, one).name for one in visitors.iterate(statement) if isinstance(one, Table))


@cache
def _gone_with(name: str) -> frozenset[str]:
    """Return a table and those whose rows go with its rows."""
    gone, before = {name}, 0
    while len(gone) > before:
        before = len(gone)
        gone |= {
            table.name
            for table in metadata.tables.values()
            if any(key.column.table.name in gone for key in table.foreign_keys)
        }
    return frozenset(gone)
