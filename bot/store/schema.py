"""Brings a database to the tables that this version knows.

Alembic is loaded only where there is something to migrate: it costs more than all the rest of opening.
"""

from pathlib import Path

from sqlalchemy import Connection, column, inspect, select, table, text

from bot.model.errors import StoreError

MIGRATIONS = Path(__file__).parent / "migrations"
HEAD = max(file.name[1:5] for file in (MIGRATIONS / "versions").glob("r[0-9][0-9][0-9][0-9]_*.py"))
"""The newest revision in `migrations/versions`, by the file's name: `r0012_language.py` is 0012."""
_VERSION_TABLE = "alembic_version"
_OURS = ("people", "entries", "inbox", "outbox")
"""Tables of every version; others migrate by the same means."""
_ADVISORY_LOCK = 7_461_626_573
"""Any number that no other program on the same PostgreSQL database takes."""


def find_revision(connection: Connection) -> str | None:
    """Return the revision a database is at, None for an empty one; another program's is a StoreError."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if not {_VERSION_TABLE, *_OURS} <= set(tables):
        raise StoreError(
            "This database belongs to another program; name a new file or an empty database for tablenote."
        )
    revision: str | None = connection.scalar(select(column("version_num")).select_from(table(_VERSION_TABLE)))
    return revision


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
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY_LOCK})
    current = find_revision(connection)
    try:
        if current is not None:
            ScriptDirectory.from_config(config).get_revision(current)
    except CommandError as error:
        raise StoreError(
            "This database was written by a newer tablenote; please update tablenote."
        ) from error
    command.upgrade(config, to)
