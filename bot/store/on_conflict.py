"""INSERT ... ON CONFLICT, which SQLite and PostgreSQL spell alike but SQLAlchemy keeps per database."""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Insert, Table
from sqlalchemy.dialects import postgresql, sqlite


def build_insert(table: Table, settle: Callable[[Any], Any]) -> dict[str, Insert]:
    """Return an INSERT that counts its rows, by name of the database; `settle` settles conflicts."""
    inserts = {"sqlite": sqlite.insert(table), "postgresql": postgresql.insert(table)}
    return {
        name: settle(insert).execution_options(preserve_rowcount=True) for name, insert in inserts.items()
    }
