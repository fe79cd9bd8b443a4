"""Which process deals with whom, where several share a PostgreSQL database.

Each person is one process's at a time. A hold is an advisory lock of the server's, kept by one connection of
this process for as long as it has something to do or to send for that person. It is no row and has no time to
run out: the server lets go of it when the connection ends, however the process ended, so that another one can
take over at once. (A lease in a table has to be renewed, and runs out under a process that is only slow.)
"""

import threading
from collections.abc import Collection, Iterable, Sequence
from contextlib import suppress
from typing import Any

from sqlalchemy import Connection, Engine, TextClause, text
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

# Two people of one number would only wait for each other.
_TAKE = text(
    "SELECT person FROM unnest(CAST(:people AS text[])) AS person "
    "WHERE pg_try_advisory_lock(hashtextextended(person, 7129))"
)
_LET_GO = text(
    "SELECT pg_advisory_unlock(hashtextextended(person, 7129)) FROM unnest(CAST(:people AS text[])) AS person"
)
_PLACE = 712_900
_TAKE_PLACE = text(
    "SELECT n FROM generate_series(1, :most) AS n "
    "WHERE n <> ALL(CAST(:mine AS int[])) AND pg_try_advisory_lock(:place, n) LIMIT 1"
)
_LEAVE_PLACES = text("SELECT pg_advisory_unlock(:place, n) FROM unnest(CAST(:mine AS int[])) AS n")
_KEEP_ALIVE = text(
    "SELECT set_config('tcp_keepalives_idle', '10', false), "
    "set_config('tcp_keepalives_interval', '5', false), set_config('tcp_keepalives_count', '3', false)"
)
"""A machine that is gone without a word lets go within half a minute."""


class Holds:
    """What this process holds; on SQLite, which serves one process only, all is held without asking."""

    def __init__(self, engine: Engine) -> None:
        self.shared = engine.dialect.name == "postgresql"
        self._engine = engine.execution_options(isolation_level="AUTOCOMMIT") if self.shared else engine
        self._lock = threading.Lock()
        self._connection: Connection | None = None
        self._held: set[str] = set()

    def take(self, *people: str) -> set[str]:
        """Hold people; return whom, which is all that no other process holds."""
        if not self.shared:
            return set(people)
        with self._lock:
            taken = set(self._ask(_TAKE, people=list(people)))
            self._held |= taken
            return taken

    def let_go(self, *people: str) -> None:
        """Hold people no longer."""
        if not self.shared:
            return
        with self._lock:
            self._held.difference_update(people)
            self._ask(_LET_GO, people=list(people))

    def take_place(self, most: int, mine: Collection[int]) -> int | None:
        """Take one of the places 1 to `most` that all processes share, None while they are taken.

        mine: the places this process has, as the server would give it the same again
        """
        with self._lock:
            return next(iter(self._ask(_TAKE_PLACE, place=_PLACE, most=most, mine=list(mine))), None)

    def leave_places(self, places: Iterable[int]) -> None:
        """Leave some of the places."""
        with self._lock:
            self._ask(_LEAVE_PLACES, place=_PLACE, mine=list(places))

    def close(self) -> None:
        """Let go of everything."""
        with self._lock:
            connection, self._connection = self._connection, None
            if connection is not None:
                connection.detach()  # the server lets go with the connection, which must not serve another
                connection.close()

    def _ask(self, query: TextClause, **values: object) -> Sequence[Any]:
        try:
            return self._ask_once(query, values)
        except DBAPIError as error:
            if not error.connection_invalidated:
                raise
            return self._ask_once(query, values)  # a server that began anew has forgotten what was held

    def _ask_once(self, query: TextClause, values: dict[str, object]) -> Sequence[Any]:
        try:
            return self._connect().scalars(query, values).all()
        except SQLAlchemyError:
            self._drop()  # kept, one that was cut off would refuse all that comes after
            raise

    def _drop(self) -> None:
        connection, self._connection = self._connection, None
        if connection is not None:
            with suppress(SQLAlchemyError):  # it is gone already
                connection.invalidate()
                connection.close()

    def _connect(self) -> Connection:
        if self._connection is None:
            self._connection = connection = self._engine.connect()
            connection.execute(_KEEP_ALIVE)
            # Whom another process took meanwhile is dealt with by both, for once.
            connection.execute(_TAKE, {"people": list(self._held)})
        return self._connection
