"""The tables of rules and of private entries. `bot.store.tables` has them all."""

from sqlalchemy import Column, ForeignKey, Integer, String, Table, Text

from bot.store.columns import UtcDateTime
from bot.store.metadata import metadata

rules = Table(
    "rules",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("place", Integer),  # none of what was only proposed
    Column("text", Text, nullable=False),
    Column("said_at", UtcDateTime, nullable=False),
    Column("ended_at", UtcDateTime),
    # As with entries: an old button names a rule by its id.
    sqlite_autoincrement=True,
)

private_entries = Table(
    "private_entries",
    metadata,
    Column("entry_id", Integer, ForeignKey("entries.id", ondelete="CASCADE"), primary_key=True),
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
)
