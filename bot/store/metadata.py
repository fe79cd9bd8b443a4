"""What every table is made with: how constraints are named, and columns and conditions that several share."""

from typing import Any

from sqlalchemy import Column, ForeignKey, MetaData, String, text

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# Conditions of partial indexes. A query repeats them word for word, or SQLite cannot use the index.
WAITING = "state IN ('new', 'failed')"
PENDING = "state = 'pending'"
SENT = "state = 'sent'"
UNSENT = "state = 'unsent'"


def person() -> Column[str]:
    """Return the column of whose a row is; what is theirs goes with them."""
    return Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False)


def where(condition: str) -> dict[str, Any]:
    """Return the options of an index over the rows of a condition."""
    return {"sqlite_where": text(condition), "postgresql_where": text(condition)}
