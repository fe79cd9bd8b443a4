"""INSERT ... ON CONFLICT, which SQLite and PostgreSQL spell alike but SQLAlchemy keeps per database."""

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_into(connection: Connection, table: Table) -> sqlite.Insert | postgresql.Insert:
    """Return an INSERT that has `on_conflict_do_nothing` and `on_conflict_do_update`."""
    if connection.dialect.name == "postgresql":
        return postgresql.insert(table)
    return sqlite.insert(table)
