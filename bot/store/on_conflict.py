"""INSERT ... ON CONFLICT, which SQLite and PostgreSQL spell alike but SQLAlchemy keeps per database."""

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_into(connection: Connection, table: Table) -> sqlite.Insert | postgresql.Insert:
    """Return an INSERT that can settle conflicts and whose result counts its rows."""
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    return insert(table).execution_options(preserve_rowcount=True)
