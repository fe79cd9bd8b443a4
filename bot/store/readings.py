"""Glucose readings: thousands at a time, each instant of a source once."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, Row, Select, bindparam, delete, func, insert, select, type_coerce

from bot.model.entries import Reading
from bot.store.columns import from_micros, to_micros
from bot.store.connection import Connection
from bot.store.records import Import, Source, StoredReadings
from bot.store.tables import imports, people, readings

MOST = 400 * 24 * 60
"""So many readings of one person are kept: 400 days of one a minute."""
_SAME_MMOL = 0.1
"""Two values nearer than this (mmol/L) are one: in tenths in one file, from whole mg/dL in another."""

_LAST_AT = (
    select(readings.c.at)
    .where(readings.c.person == bindparam("person"))
    .order_by(readings.c.at.desc())
    .limit(1)  # the key is walked from its end; a maximum with a source would look at all readings
)
_LAST_AT_OF = _LAST_AT.where(readings.c.source == bindparam("of"))
_AT_US = type_coerce(readings.c.at, BigInteger)
_VALUES = select(_AT_US, readings.c.mmol).where(
    readings.c.person == bindparam("person"),
    readings.c.source == bindparam("source"),
    _AT_US.between(bindparam("first"), bindparam("last")),
)
_LOTS = select(imports.c.id).where(
    imports.c.person == bindparam("person"), imports.c.update_id == bindparam("update_id")
)
_FILES = (
    select(imports.c.at)
    .where(
        imports.c.person == bindparam("person"),
        imports.c.at >= bindparam("since"),
        imports.c.source == "file",
    )
    .order_by(imports.c.at.desc())
    .limit(bindparam("most"))
)
_COLUMNS = ("person", "at", "source", "mmol", "flag", "specimen", "import_id")
_INSERT = insert(readings).values({name: bindparam(name) for name in _COLUMNS})


class Readings:
    """The readings of one transaction. Spans run from `since` up to before `until`; None = no bound."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(
        self,
        person: str,
        new: Sequence[Reading],
        *,
        source: Source,
        at: datetime,
        update_id: str,
        name: str = "",
    ) -> StoredReadings:
        """Store single readings, as `add_columns` does; one without an instant is a ValueError."""
        return self.add_columns(
            person,
            [_stamp(reading) for reading in new],
            [reading.mmol for reading in new],
            flags=[reading.flag for reading in new],
            source=source,
            at=at,
            update_id=update_id,
            name=name,
        )

    def add_columns(
        self,
        person: str,
        instants: Sequence[int],
        mmol: Sequence[float | None],
        *,
        flags: Sequence[str] | None = None,
        specimens: Sequence[str] | None = None,
        source: Source,
        at: datetime,
        update_id: str,
        name: str = "",
    ) -> StoredReadings:
        """Store the readings of one file or message and say what became of them.

        instants, mmol: µs since 1970, and values, None where the sensor was out of its range; flags,
        specimens: of each reading, "" for all when left out.
        A reading whose instant this source has already is known; where its value is another, the first one
        stays. Those without a value are kept and not counted. A lot in which nothing is new leaves no trace.
        """
        # On PostgreSQL two lots of one person wait for each other here; SQLite has one writer anyway.
        self._connection.execute(select(people.c.id).where(people.c.id == person).with_for_update())
        first, last = (min(instants), max(instants)) if instants else (0, -1)
        kept = self._values(person, source, first, last)
        fresh: list[int] = []
        stored = known = differing = 0
        for place, (instant, value) in enumerate(zip(instants, mmol, strict=True)):
            if instant not in kept:
                kept[instant] = value
                fresh.append(place)
                stored += value is not None
            elif value is not None:
                known += 1
                before = kept[instant]
                differing += before is None or abs(before - value) > _SAME_MMOL
        span = (from_micros(first), from_micros(last)) if instants else (None, None)
        result = StoredReadings(stored, known, differing, *span)
        if fresh:
            about = {"source": source, "name": name, "update_id": update_id, "at": at}
            lot = self._add_lot(person, result, about)
            none = [""] * len(instants)
            columns = (instants, mmol, flags or none, specimens or none)
            chosen = columns if len(fresh) == len(instants) else [[c[i] for i in fresh] for c in columns]
            self._insert(person, source, lot, *chosen)
        return result

    def drop(self, person: str, since: datetime, until: datetime, *, source: Source) -> int:
        """Take back the readings of a source from `since` up to before `until`; return how many."""
        gone = self._connection.execute(
            delete(readings).where(
                readings.c.person == person,
                readings.c.at >= since,
                readings.c.at < until,
                readings.c.source == source,
            )
        )
        return gone.rowcount

    def drop_lots(self, person: str, ids: Sequence[int]) -> int:
        """Take back the readings of some imports of a person, and the imports; return how many readings."""
        of_person = select(imports.c.id).where(imports.c.person == person, imports.c.id.in_(ids))
        gone = self._connection.execute(delete(readings).where(readings.c.import_id.in_(of_person)))
        self._connection.execute(delete(imports).where(imports.c.person == person, imports.c.id.in_(ids)))
        return gone.rowcount

    def lots(self, person: str, update_id: str) -> list[int]:
        """Return the ids of the imports that came with an update."""
        return list(self._connection.scalars(_LOTS, {"person": person, "update_id": update_id}))

    def between(self, person: str, since: datetime | None, until: datetime | None) -> list[Reading]:
        """Return the readings of a span that have a value, oldest first."""
        query = select(readings.c.mmol, readings.c.at, readings.c.flag).where(readings.c.mmol.is_not(None))
        return [Reading(*row) for row in self._connection.execute(_span(query, person, since, until))]

    def arrays(
        self,
        person: str,
        since: datetime | None,
        until: datetime | None,
        sources: Sequence[Source] = (),
    ) -> tuple[list[int], list[float | None], list[str]]:
        """Return the readings of a span as columns: epoch seconds, mmol/L and flags; of some sources or all.

        The value is None where the sensor was out of its range; the flag says on which side.
        """
        query = select(_AT_US, readings.c.mmol, readings.c.flag)
        query = _span(query, person, since, until)
        if sources:
            query = query.where(readings.c.source.in_(sources))
        rows = self._connection.execute(query).all()
        return [row[0] // 1_000_000 for row in rows], [row[1] for row in rows], [row[2] for row in rows]

    def last_at(self, person: str, source: Source | None = None) -> datetime | None:
        """Return the instant of the newest reading, of one source or of all."""
        query = _LAST_AT if source is None else _LAST_AT_OF
        return next(iter(self._connection.once(query, _first, person=person, of=source)), None)

    def count(self, person: str) -> int:
        """Return how many readings with a value there are."""
        query = select(func.count(readings.c.mmol)).where(readings.c.person == person)
        return int(self._connection.execute(query).scalar_one())

    def has_room(self, person: str, lots: Sequence[tuple[Source, Sequence[int]]]) -> bool:
        """Tell whether lots of readings at these instants (µs) may be added, as `MOST` are kept of a person.

        Those that are known already need no room.
        """
        held = select(readings.c.at).where(readings.c.person == person).limit(MOST).subquery()
        room = MOST - (self._connection.scalar(select(func.count()).select_from(held)) or 0)
        if sum(len(instants) for _, instants in lots) <= room:
            return True
        fresh = 0
        for source, instants in lots:
            fresh += len(set(instants) - self._values(person, source, min(instants), max(instants)).keys())
        return fresh <= room

    def imports(self, person: str) -> list[Import]:
        """Return what was handed in so far, oldest first."""
        rows = self._connection.execute(
            select(imports).where(imports.c.person == person).order_by(imports.c.id)
        )
        return [
            Import(
                row.id,
                row.source,
                row.name,
                row.update_id,
                row.at,
                StoredReadings(row.stored, row.known, row.differing, row.first_at, row.last_at),
            )
            for row in rows
        ]

    def files_since(self, person: str, since: datetime, most: int) -> list[datetime]:
        """Return when files of the sensor with new readings came: the newest `most`, newest first."""
        values = {"person": person, "since": since, "most": most}
        return list(self._connection.scalars(_FILES, values))

    def _values(self, person: str, source: Source, first: int, last: int) -> dict[int, float | None]:
        """Return the values on record from one instant to another, by their instants (µs)."""
        values = {"person": person, "source": source, "first": first, "last": last}
        return {row[0]: row[1] for row in self._connection.execute(_VALUES, values)}

    def _add_lot(self, person: str, result: StoredReadings, about: Mapping[str, Any]) -> int:
        values = {
            "person": person,
            "stored": result.stored,
            "known": result.known,
            "differing": result.differing,
            "first_at": result.first_at,
            "last_at": result.last_at,
        }
        key = self._connection.execute(insert(imports).values(**values, **about)).inserted_primary_key
        assert key is not None  # one row with an integer key always has one
        lot: int = key[0]
        return lot

    def _insert(
        self,
        person: str,
        source: Source,
        lot: int,
        instants: Sequence[int],
        mmol: Sequence[float | None],
        flags: Sequence[str],
        specimens: Sequence[str],
    ) -> None:
        """Insert rows by the driver's own means: through typed parameters it takes twice as long."""
        compiled = _INSERT.compile(dialect=self._connection.dialect)
        rows: Any = [
            (person, instant, source, value, flag, specimen, lot)
            for instant, value, flag, specimen in zip(instants, mmol, flags, specimens, strict=True)
        ]
        if not compiled.positional:
            rows = [dict(zip(_COLUMNS, row, strict=True)) for row in rows]
        self._connection.exec_driver_sql(str(compiled), rows)


def _first(row: Row[Any]) -> Any:
    return row[0]


def _stamp(reading: Reading) -> int:
    if reading.at is None:
        raise ValueError("a reading without a time cannot be stored")
    return to_micros(reading.at)


def _span(query: Select[Any], person: str, since: datetime | None, until: datetime | None) -> Select[Any]:
    query = query.where(readings.c.person == person).order_by(readings.c.at, readings.c.source)
    if since is not None:
        query = query.where(readings.c.at >= since)
    if until is not None:
        query = query.where(readings.c.at < until)
    return query
