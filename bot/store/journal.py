"""What a turn changed of settings, words and the like, so that it can be taken back.

A store class says before it changes rows which ones they are; the rows as they were are kept under the turn.
Taking back puts them there again. Entries have a history of their own (`log.py`), trials their steps.
"""

from collections.abc import Collection, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from sqlalchemy import Date, Select, Table, Time, and_, delete, insert, select, update

from bot.store.columns import UtcDateTime
from bot.store.connection import Connection
from bot.store.metadata import metadata
from bot.store.records import Act
from bot.store.tables import acts

KEPT_FOR = timedelta(days=30)
"""What is older is not taken back any more."""
_IN_PLACE = frozenset({"people", "asked"})
"""Rows that others point to: they are changed where they stand."""
_ONLY_ENDS = frozenset({"shares"})
"""What needs a yes of somebody else: taking back ends it, and never begins it again."""
_TYPES = ((UtcDateTime, datetime), (Date, date), (Time, time))
Row = Mapping[str, Any]


class Journal:
    """The acts of one transaction. Outside of a person's turn nothing is kept."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._turn: tuple[str, str, datetime] | None = None
        self._kept: list[dict[str, Any]] = []

    def begin(self, person: str, update_id: str, at: datetime) -> None:
        """Keep from now on what a turn changes."""
        self._turn = person, update_id, at

    def end(self) -> None:
        """Keep nothing any more: what follows happens by itself."""
        self._turn = None

    def before(self, table: Table, *, only: Collection[str] = (), **where: Any) -> None:
        """Keep the rows, chosen by columns, that are about to be changed, deleted or added.

        only: the columns that change, of rows that stay
        """
        if self._turn is None:
            return
        key = {name: _write(value) for name, value in where.items()}
        of = {"table": table.name, "where": key, "only": sorted(only)}
        if any({name: one[name] for name in of} == of for one in self._kept):
            return
        rows = [{name: _write(v) for name, v in row.items()} for row in self._rows(of)]
        self._kept.append({**of, "rows": rows})
        person, update_id, at = self._turn
        mine = and_(acts.c.person == person, acts.c.update_id == update_id)
        if len(self._kept) > 1:
            self._connection.execute(update(acts).where(mine).values(kept=self._kept))
            return
        self._connection.execute(delete(acts).where(acts.c.person == person, acts.c.at < at - KEPT_FOR))
        self._connection.execute(
            insert(acts).values(person=person, update_id=update_id, at=at, kept=self._kept)
        )

    def last(self, person: str) -> Act | None:
        """Return the last act of a person that stands and changed anything."""
        query = select(acts).where(acts.c.person == person, acts.c.undone_at.is_(None))
        for row in self._connection.execute(query.order_by(acts.c.id.desc())):
            before = [(one["table"], _read(one["table"], was)) for one in row.kept for was in one["rows"]]
            now = [(one["table"], found) for one in row.kept for found in self._rows(one)]
            if before != now:
                return Act(row.id, row.update_id, tuple(before), tuple(now))
        return None

    def take_back(self, act: Act, at: datetime) -> None:
        """Put everything back as it was before an act."""
        for one in reversed(self._connection.scalar(select(acts.c.kept).where(acts.c.id == act.id)) or []):
            table = metadata.tables[one["table"]]
            rows = [_read(table.name, row) for row in one["rows"]]
            if table.name in _IN_PLACE:
                for row in rows:
                    changed = update(table).where(table.c.id == row.pop("id"))
                    self._connection.execute(changed.values(**row))
                continue
            self._connection.execute(delete(table).where(_condition(table, one["where"])))
            for row in rows if table.name not in _ONLY_ENDS else ():
                if table.name == "facts":
                    row.pop("id")  # it may be another's by now
                self._connection.execute(insert(table).values(**row))
        self._connection.execute(update(acts).where(acts.c.id == act.id).values(undone_at=at))

    def _rows(self, of: Mapping[str, Any]) -> list[dict[str, Any]]:
        return [dict(row._mapping) for row in self._connection.execute(_select(of))]


def _select(of: Mapping[str, Any]) -> Select[Any]:
    table = metadata.tables[of["table"]]
    columns = [table.c.id, *(table.c[name] for name in of["only"])] if of["only"] else [table]
    return select(*columns).where(_condition(table, of["where"]))


def _condition(table: Table, where: Row) -> Any:
    return and_(*(table.c[name] == value for name, value in _read(table.name, where).items()))


def _write(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date | time) else value


def _read(table: str, values: Row) -> dict[str, Any]:
    """Return values as the types of a table's columns have them."""
    columns = metadata.tables[table].c
    return {name: _as(columns[name].type, value) for name, value in values.items()}


def _as(of: object, value: Any) -> Any:
    kind = next((kind for column, kind in _TYPES if isinstance(of, column)), None)
    return kind.fromisoformat(value) if kind is not None and isinstance(value, str) else value
