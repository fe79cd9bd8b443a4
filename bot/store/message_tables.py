"""The tables of messages and of what was asked. `bot.store.tables` has them all.

`person` has no foreign key in `inbox` and `outbox`: an update is stored before anybody is known, and the
last message to somebody who was erased still has to go out.
"""

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    Table,
    Text,
    UniqueConstraint,
    false,
)

from bot.store.columns import UtcDateTime
from bot.store.metadata import UNSENT, WAITING, metadata, person, where

inbox = Table(
    "inbox",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("update_id", String, nullable=False, unique=True),
    Column("person", String, nullable=False, index=True),
    Column("raw", Text, nullable=False),
    Column("state", String, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("error", Text),
    Column("received_at", UtcDateTime, nullable=False),
    Column("settled_at", UtcDateTime),
    CheckConstraint("state IN ('new', 'done', 'failed', 'parked')", name="state"),
    Index("ix_inbox_waiting", "id", **where(WAITING)),
)

outbox = Table(
    "outbox",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person", String, nullable=False),
    Column("text", Text, nullable=False),
    Column("buttons", JSON, nullable=False),
    Column("picture", JSON(none_as_null=True)),
    Column("document_name", String),
    Column("document", LargeBinary),
    Column("replaces", String),
    Column("reminder", Boolean, nullable=False),
    Column("entry_id", Integer, ForeignKey("entries.id", ondelete="CASCADE"), index=True),
    Column("update_id", String),
    Column("state", String, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("ref", String),
    Column("error", Text),
    Column("queued_at", UtcDateTime, nullable=False),
    Column("settled_at", UtcDateTime),
    Column("pictures", JSON(none_as_null=True)),
    Column("answers_to", String),
    Column("reaction", String),
    Column("silent", Boolean, nullable=False, server_default=false()),
    Column("pinned", Boolean, nullable=False, server_default=false()),
    Column("unpins", String),
    CheckConstraint("state IN ('unsent', 'sent', 'uncertain', 'failed')", name="state"),
    CheckConstraint("reaction IN ('noted', 'synced', 'thanks')", name="reaction"),
    Index("ix_outbox_person_ref", "person", "ref"),
    Index("ix_outbox_person_queued_at", "person", "queued_at"),
    Index("ix_outbox_unsent", "id", **where(UNSENT)),
    sqlite_autoincrement=True,
)

pending = Table(
    "pending",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("about", String, nullable=False),
    Column("entry_id", Integer, ForeignKey("entries.id", ondelete="CASCADE"), index=True),
    Column("asked_at", UtcDateTime, nullable=False),
    Column("expires_at", UtcDateTime, nullable=False),
)

asked = Table(
    "asked",
    metadata,
    Column("id", Integer, primary_key=True),
    person(),
    Column("about", String, nullable=False),
    Column("entry_id", Integer, ForeignKey("entries.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("choices", JSON, nullable=False),
    Column("asked_at", UtcDateTime, nullable=False),
    Column("answer", JSON(none_as_null=True)),
    Column("answered_at", UtcDateTime),
    UniqueConstraint("person", "about"),
    # As with entries: an old button names a question by its id.
    sqlite_autoincrement=True,
)

open_files = Table(
    "open_files",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False, unique=True),
    Column("name", String, nullable=False),
    Column("data", LargeBinary, nullable=False),
    Column("second", Boolean, nullable=False),
    Column("about", String, nullable=False),
    Column("options", JSON, nullable=False),
    Column("layout", String, nullable=False),
    Column("chosen_column", String),
    Column("day_first", Boolean),
    Column("expires_at", UtcDateTime, nullable=False, index=True),
    # As with entries: an old button names a file by its id.
    sqlite_autoincrement=True,
)

file_choices = Table(
    "file_choices",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("layout", String, primary_key=True),
    Column("about", String, primary_key=True),
    Column("choice", String, nullable=False),
)

cards = Table(
    "cards",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("since", UtcDateTime, nullable=False),
    Column("until", UtcDateTime, nullable=False),
    Column("outbox_id", Integer, nullable=False),
    Column("ref", String),
    Column("basis", String, nullable=False),
)
