"""Glucose readings: thousands at a time, each instant of a source once."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, Connection, Select, bindparam, delete, func, insert, select, type_coerce

from bot.entries import Reading
from bot.store.columns import to_utc
from bot.store.records import Import, Source, StoredReadings
from bot.store.tables import imports, people, readings

_SAME_MMOL = 0.1
"""Two values nearer than this (mmol/L) are one: in tenths in one file, from whole mg/dL in another."""

_LAST_AT = select(func.max(readings.c.at)).where(readings.c.person == bindparam("person"))
_LAST_AT_OF = _LAST_AT.where(readings.c.source == bindparam("of"))


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
        """Store readings of one file or message and say what became of them.

        A reading whose instant this source has already is known; where its value is another, the first one
        stays. A reading without an instant is a ValueError. A lot in which nothing is new leaves no trace.
        """
        # In UTC throughout: within a clock's repeated hour, equal instants of two zones compare unequal.
        stamps = [_stamp(reading) for reading in new]
        first_at, last_at = (min(stamps), max(stamps)) if stamps else (None, None)
        # On PostgreSQL two lots of one person wait for each other here; SQLite has one writer anyway.
        self._connection.execute(select(people.c.id).where(people.c.id == person).with_for_update())
        kept = self._values(person, source, first_at, last_at)
        fresh: list[dict[str, object]] = []
        differing = 0
        for at_utc, reading in zip(stamps, new, strict=True):
            if at_utc not in kept:
                kept[at_utc] = reading.mmol
                fresh.append({"at": at_utc, "mmol": reading.mmol, "flag": reading.flag})
            elif abs(kept[at_utc] - reading.mmol) > _SAME_MMOL:
                differing += 1
        result = StoredReadings(len(fresh), len(new) - len(fresh), differing, first_at, last_at)
        self._insert(person, fresh, result, source=source, name=name, update_id=update_id, at=at)
        return result

    def drop(self, person: str, at: datetime, *, source: Source) -> bool:
        """Take back the reading of an instant; False when there is none."""
        gone = self._connection.execute(
            delete(readings).where(
                readings.c.person == person, readings.c.at == at, readings.c.source == source
            )
        )
        return gone.rowcount == 1

    def between(self, person: str, since: datetime | None, until: datetime | None) -> list[Reading]:
        """Return the readings of a span, oldest first."""
        query = select(readings.c.mmol, readings.c.at, readings.c.flag)
        return [Reading(*row) for row in self._connection.execute(_span(query, person, since, until))]

    def arrays(
        self,
        person: str,
        since: datetime | None,
        until: datetime | None,
        source: Source | None = None,
    ) -> tuple[list[int], list[float], list[str]]:
        """Return the readings of a span as columns: epoch seconds, mmol/L and flags; of one source or all."""
        query = select(type_coerce(readings.c.at, BigInteger), readings.c.mmol, readings.c.flag)
        query = _span(query, person, since, until)
        if source is not None:
            query = query.where(readings.c.source == source)
        rows = self._connection.execute(query).all()
        return [row[0] // 1_000_000 for row in rows], [row[1] for row in rows], [row[2] for row in rows]

    def last_at(self, person: str, source: Source | None = None) -> datetime | None:
        """Return the instant of the newest reading, of one source or of all."""
        query = _LAST_AT if source is None else _LAST_AT_OF
        newest: datetime | None = self._connection.scalar(query, {"person": person, "of": source})
        return newest

    def count(self, person: str) -> int:
        """Return how many readings there are."""
        query = select(func.count()).select_from(readings).where(readings.c.person == person)
        return self._connection.execute(query).scalar_one()

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

    def _values(
        self, person: str, source: Source, first_at: datetime | None, last_at: datetime | None
    ) -> dict[datetime, float]:
        if first_at is None or last_at is None:
            return {}
        rows = self._connection.execute(
            select(readings.c.at, readings.c.mmol).where(
                readings.c.person == person,
                readings.c.source == source,
                readings.c.at.between(first_at, last_at),
            )
        )
        return {row.at: row.mmol for row in rows}

    def _insert(
        self, person: str, fresh: list[dict[str, object]], result: StoredReadings, **about: Any
    ) -> None:
        if not fresh:
            return
        lot = self._connection.execute(
            insert(imports).values(
                person=person,
                stored=result.stored,
                known=result.known,
                differing=result.differing,
                first_at=result.first_at,
                last_at=result.last_at,
                **about,
            )
        ).inserted_primary_key
        assert lot is not None  # one row with an integer key always has one
        shared = {"person": person, "source": about["source"], "import_id": lot[0]}
        self._connection.execute(insert(readings), [shared | row for row in fresh])


def _stamp(reading: Reading) -> datetime:
    if reading.at is None:
        raise ValueError("a reading without a time cannot be stored")
    return to_utc(reading.at)


def _span(query: Select[Any], person: str, since: datetime | None, until: datetime | None) -> Select[Any]:
    query = query.where(readings.c.person == person).order_by(readings.c.at, readings.c.source)
    if since is not None:
        query = query.where(readings.c.at >= since)
    if until is not None:
        query = query.where(readings.c.at < until)
    return query
