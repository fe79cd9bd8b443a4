"""Brings a database to the tables that this version knows.

An empty one gets today's tables at once, ten times as fast as through all revisions; a test holds both ways
to one outcome. Alembic is loaded only where there is something to migrate: it costs more than all the rest.
"""

from functools import cache
from pathlib import Path

from sqlalchemy import (
    Column,
    Connection,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    create_mock_engine,
    inspect,
    select,
    text,
)
from sqlalchemy.schema import ExecutableDDLElement

from bot.model.errors import StoreError
from bot.store.tables import metadata

MIGRATIONS = Path(__file__).parent / "migrations"
HEAD = max(file.name[1:5] for file in (MIGRATIONS / "versions").glob("r[0-9][0-9][0-9][0-9]_*.py"))
"""The newest revision in `migrations/versions`, by the file's name: `r0012_language.py` is 0012."""
_version = Table(
    "alembic_version",
    MetaData(),
    Column("version_num", String(32), nullable=False),
    PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)
"""As alembic makes it, which keeps there which revision a database is at."""
_OURS = ("people", "entries", "inbox", "outbox")
"""Tables of every version; others migrate by the same means."""
_ADVISORY_LOCK = 7_461_626_573
"""Any number that no other program on the same PostgreSQL database takes."""


def find_revision(connection: Connection) -> str | None:
    """Return the revision a database is at, None for an empty one; another program's is a StoreError."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if not {_version.name, *_OURS} <= set(tables):
        raise StoreError(
            "This database belongs to another program; name a new file or an empty database for tablenote."
        )
    revision: str | None = connection.scalar(select(_version.c.version_num))
    return revision


def bring_up(connection: Connection) -> None:
    """Give an empty database the tables as they are now, migrate any other, in `connection`'s transaction.

    A database of another program or of a newer version is a StoreError.
    """
    _lock(connection)
    if find_revision(connection) is None:
        for statement in _statements(connection.dialect.name):
            connection.exec_driver_sql(statement)
        connection.execute(_version.insert().values(version_num=HEAD))
    else:
        upgrade(connection)


@cache
def _statements(dialect: str) -> tuple[str, ...]:
    """Return what makes all tables and indexes, worded once: that takes ten times as long as to make them."""
    made: list[ExecutableDDLElement] = []
    engine = create_mock_engine(f"{dialect}://", lambda element, *_: made.append(element))
    for tables in (metadata, _version.metadata):
        tables.create_all(engine, checkfirst=False)
    return tuple(str(element.compile(dialect=engine.dialect)) for element in made)


def upgrade(connection: Connection, to: str = "head") -> None:
    """Run the migrations that are missing, in the transaction of `connection`, as far as revision `to`."""
    # Alembic is heavy, and most starts need none of it.
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory
    from alembic.util import CommandError

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    _lock(connection)
    current = find_revision(connection)
    try:
        if current is not None:
            ScriptDirectory.from_config(config).get_revision(current)
    except CommandError as error:
        raise StoreError(
            "This database was written by a newer tablenote; please update tablenote."
        ) from error
    command.upgrade(config, to)


def _lock(connection: Connection) -> None:
    """Let one worker at a time look at a PostgreSQL database and alter it; SQLite has one writer anyway."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY_LOCK})
