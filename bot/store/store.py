"""Opens a database and hands out transactions."""

import json
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from functools import partial
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import (
    ArgumentError,
    DatabaseError,
    DBAPIError,
    NoSuchModuleError,
    OperationalError,
    SQLAlchemyError,
)
from sqlalchemy.exc import TimeoutError as NoConnection
from sqlalchemy.pool import NullPool, QueuePool, StaticPool

from bot.model.errors import StoreError
from bot.store import schema
from bot.store.holds import Holds
from bot.store.syncing import Syncing
from bot.store.transaction import Transaction
from bot.store.writing import WritersPlace

BUSY_TIMEOUT_S = 10.0
"""How long SQLite waits for another process that writes."""

_MENDED_BY = {
    "sqlite": "See that its disk is neither full nor read-only and that no other program holds it",
    "postgresql": "See that its server runs, has room, and lets this bot have some 20 connections",
}
_EXAMPLES = "write sqlite:////folder/file.db or postgresql+psycopg://user@host/name"


class Store:
    """One database. Its transactions may run in any thread; one thread has one at a time.

    after_erasing: called with those who were erased, once that is kept
    holds: whom this process deals with, where several share the database
    """

    def __init__(self, engine: Engine, after_erasing: Callable[[list[str]], None]) -> None:
        self._engine = engine
        self._syncing = Syncing(sqlite_file(engine.url))
        self._after_erasing = after_erasing
        self.holds = Holds(engine)
        one_writer = engine.dialect.name == "sqlite"
        one_state = {} if one_writer else {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        self._reader = engine.execution_options(**one_state)
        one_connection = isinstance(engine.pool, StaticPool)
        self._place = WritersPlace() if one_writer else None
        self._reads_write = one_connection

    @contextmanager
    def begin(self, *, outlasts_power: bool = True) -> Iterator[Transaction]:
        """Give a transaction that may write: kept at the end of the block, undone when the block raises.

        outlasts_power: return only once it is on the disk; what may as well be found undone does not wait,
        and comes before what does
        """
        with _explaining(self._engine), self._writing(in_a_hurry=not outlasts_power):
            with self._engine.begin() as connection:
                _begin(connection, writes=True)
                tx = Transaction(connection)
                yield tx
            if tx.people.erased:
                self._empty_journal()
                self._after_erasing(tx.people.erased)
        if outlasts_power:
            self._syncing.wait()

    @contextmanager
    def read(self) -> Iterator[Transaction]:
        """Give a transaction that sees one state of the database and may not write."""
        place = self._writing() if self._reads_write else nullcontext()
        with _explaining(self._engine), place, self._reader.connect() as connection:
            _begin(connection, writes=False)
            yield Transaction(connection)

    def _writing(self, *, in_a_hurry: bool = False) -> AbstractContextManager[None]:
        return nullcontext() if self._place is None else self._place.taken(in_a_hurry=in_a_hurry)

    def close(self) -> None:
        """Close all connections."""
        self.holds.close()
        self._engine.dispose()

    def _empty_journal(self) -> None:
        """Have SQLite move its journal into the file, so that erased rows do not stay readable in it."""
        if self._engine.dialect.name == "sqlite":
            with self._engine.connect() as connection:
                _raw(connection).execute("PRAGMA wal_checkpoint(TRUNCATE)")


def open_store(url: str, after_erasing: Callable[[list[str]], None] = lambda people: None) -> Store:
    """Open the database at an SQLAlchemy URL, new or not, and bring its tables up to date.

    after_erasing: what else is to be done about people who are erased
    Creates the folder of an SQLite file. What cannot be used is a StoreError that says why.
    """
    parsed = parse_url(url)
    place = parsed.render_as_string(hide_password=True)
    try:
        file = sqlite_file(parsed)
        if file is not None:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.touch(mode=0o600)  # a diary is nobody else's to read; the journal files take this mode too
        engine = _create_engine(parsed, in_memory=parsed.get_backend_name() == "sqlite" and file is None)
        try:
            _prepare(engine, durable=file is not None)
        except BaseException:
            engine.dispose()
            raise
    except OSError as error:
        raise StoreError(f"The folder for {place} cannot be made: {error.strerror}.") from error
    except ModuleNotFoundError as error:
        raise StoreError(f"For {place} the package {error.name} is missing; please install it.") from error
    except (SQLAlchemyError, errors_of(url)) as error:
        raise StoreError(f"{place} cannot be opened: {_reason(error)}.") from error
    return Store(engine, after_erasing)


def is_current(url: str) -> bool:
    """Tell whether a database has the tables of this version, without a change to it.

    StoreError when it cannot be looked at, or is another program's.
    """
    parsed = parse_url(url)
    file = sqlite_file(parsed)
    if file is not None:
        query = {**parsed.query, "mode": "ro", "uri": "true"}
        parsed = parsed.set(database=file.resolve().as_uri(), query=query)
    try:
        engine = create_engine(parsed, poolclass=NullPool)
        with engine.connect() as connection:
            return schema.find_revision(connection) == schema.HEAD
    except ModuleNotFoundError as error:
        raise StoreError(f"The package {error.name} is missing; please install it.") from error
    except (DBAPIError, errors_of(url)) as error:
        raise StoreError(f"The database cannot be read: {_reason(error)}.") from error


@contextmanager
def _explaining(engine: Engine) -> Iterator[None]:
    """Turn what is wrong with the database itself (locked, full, read-only, damaged, gone) into a StoreError.

    What is wrong with a statement stays the error it is.
    """
    driver = engine.dialect.loaded_dbapi
    try:
        yield
    except (DBAPIError, driver.Error, NoConnection) as error:
        outside = (OperationalError, driver.OperationalError, NoConnection)
        if not isinstance(error, outside) and type(error) not in (DatabaseError, driver.DatabaseError):
            raise
        see = _MENDED_BY[engine.dialect.name]
        raise StoreError(f"The database cannot be used: {_reason(error)}. {see}, then try again.") from error


def _reason(error: Exception) -> str:
    return _first_line(error.orig if isinstance(error, DBAPIError) else error)


def _first_line(error: BaseException | None) -> str:
    return str(error).strip().partition("\n")[0].rstrip(".")


def parse_url(url: str) -> URL:
    """Return the parts of a database address; what is none, or of another kind, is a StoreError."""
    try:
        parsed = make_url(url)
        dialect = parsed.get_dialect()
        dialect().create_connect_args(parsed)  # complains of what the database could not make sense of
    except (ArgumentError, NoSuchModuleError, ValueError) as error:
        raise StoreError(f"This is not the address of a database; {_EXAMPLES}.") from error
    if dialect.name not in ("sqlite", "postgresql") or dialect.is_async:
        raise StoreError(f"Databases of the kind {parsed.drivername} are not supported; {_EXAMPLES}.")
    return parsed


def sqlite_file(url: URL) -> Path | None:
    """Return the file of an SQLite address; None in memory, and for other databases."""
    if url.get_backend_name() != "sqlite" or url.database in (None, "", ":memory:"):
        return None
    return Path(str(url.database))


def beside(url: str, file: Path) -> str:
    """Return the address of another SQLite file, encrypted by the same key where the one at `url` is."""
    parsed = parse_url(url)
    if sqlite_file(parsed) is None:
        return f"sqlite:///{file}"
    return parsed.set(database=str(file)).render_as_string(hide_password=False)


@contextmanager
def open_raw(url: str, *, reads: bool = False) -> Iterator[sqlite3.Connection]:
    """Give the driver's connection to an SQLite file, whatever it holds.

    reads: it may not be written
    """
    parsed = parse_url(url)
    file = sqlite_file(parsed)
    assert file is not None  # asked of files only
    if reads:
        query = {**parsed.query, "mode": "ro", "uri": "true"}
        parsed = parsed.set(database=file.resolve().as_uri(), query=query)
    engine = create_engine(parsed, poolclass=NullPool, connect_args={"timeout": BUSY_TIMEOUT_S})
    pooled = engine.raw_connection()
    try:
        raw: sqlite3.Connection | None = pooled.driver_connection
        assert raw is not None  # it was opened just now
        yield raw
    finally:
        pooled.close()


def errors_of(url: str) -> type[Exception]:
    """Return what the driver of a database raises."""
    found: type[Exception] = parse_url(url).get_dialect().import_dbapi().Error
    return found


def _create_engine(url: URL, *, in_memory: bool) -> Engine:
    options: dict[str, Any] = {
        "json_serializer": partial(json.dumps, ensure_ascii=False, allow_nan=False, separators=(",", ":")),
        "hide_parameters": True,  # an error would carry somebody's note into the log
    }
    if url.get_backend_name() == "sqlite":
        # Python's own transaction handling begins too late and cannot begin a write; ours is in `_begin`.
        options["connect_args"] = {"timeout": BUSY_TIMEOUT_S, "isolation_level": None}
        options["poolclass"] = QueuePool  # as of plain files; an encrypted one's own closes what is in use
    if in_memory:
        options["poolclass"] = StaticPool
        options["connect_args"]["check_same_thread"] = False
    engine = create_engine(url, **options)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _set_up)
    return engine


def _set_up(raw: sqlite3.Connection, _record: object) -> None:
    raw.execute("PRAGMA foreign_keys = ON")
    (mode,) = raw.execute("PRAGMA journal_mode").fetchone()
    raw.execute(f"PRAGMA synchronous = {'NORMAL' if mode == 'wal' else 'FULL'}")  # see `Syncing`
    raw.execute("PRAGMA secure_delete = ON")


def _begin(connection: Connection, *, writes: bool) -> None:
    """Begin on SQLite; elsewhere the driver does. An event of the engine would slow every statement."""
    if connection.dialect.name != "sqlite":
        return
    raw = _raw(connection)
    raw.execute(f"PRAGMA query_only = {'OFF' if writes else 'ON'}")
    # A transaction that reads first and writes later fails at once when another wrote in between; one that
    # begins as a writer waits for its turn.
    raw.execute("BEGIN IMMEDIATE" if writes else "BEGIN")


def _prepare(engine: Engine, *, durable: bool) -> None:
    with engine.connect() as connection:
        raw = _raw(connection) if engine.dialect.name == "sqlite" else None
        if raw is not None and durable:
            raw.execute("PRAGMA journal_mode = WAL")
            if raw.execute("PRAGMA user_version").fetchone()[0]:  # a copy's seal: from now on it changes
                raw.execute("PRAGMA user_version = 0")
        if schema.find_revision(connection) == schema.HEAD:
            return
        connection.rollback()
        if raw is not None:
            # A migration may rebuild a table; dropping the old one must not delete what refers to it.
            raw.execute("PRAGMA foreign_keys = OFF")
        with connection.begin():
            _begin(connection, writes=True)
            schema.bring_up(connection)
        if raw is not None:
            raw.execute("PRAGMA foreign_keys = ON")


def _raw(connection: Connection) -> sqlite3.Connection:
    """Return the driver's connection: on SQLite, encrypted or not, where both have the same methods."""
    raw: sqlite3.Connection | None = connection.connection.driver_connection
    assert raw is not None  # it was opened just now
    return raw
