"""The tables as they are now. A change here needs a migration; a test compares the two."""

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    Table,
    Text,
    Time,
    UniqueConstraint,
    false,
    true,
)

from bot.store.columns import UtcDateTime
from bot.store.message_tables import asked as asked
from bot.store.message_tables import cards as cards
from bot.store.message_tables import file_choices as file_choices
from bot.store.message_tables import inbox as inbox
from bot.store.message_tables import open_files as open_files
from bot.store.message_tables import outbox as outbox
from bot.store.message_tables import pending as pending
from bot.store.metadata import PENDING, SENT, person, where
from bot.store.metadata import metadata as metadata
from bot.store.rule_tables import private_entries as private_entries
from bot.store.rule_tables import rules as rules

people = Table(
    "people",
    metadata,
    Column("id", String, primary_key=True),
    Column("zone", String, nullable=False),
    Column("unit", String, nullable=False),
    Column("quiet_from", Time, nullable=False),
    Column("quiet_to", Time, nullable=False),
    Column("sync_lead_min", Integer, nullable=False),
    Column("memory_min", Integer, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    Column("remind", String, nullable=False, server_default="all"),
    Column("nudge", Boolean, nullable=False, server_default=false()),
    Column("sensor_days", Integer, nullable=False, server_default="14"),
    Column("no_checks_until", UtcDateTime),
    Column("unit_chosen", Boolean, nullable=False, server_default=false()),
    Column("pictures", String, nullable=False, server_default="light"),
    Column("language", String, nullable=False, server_default="en"),
    Column("clock", String, nullable=False, server_default="24"),
    Column("card", Boolean, nullable=False, server_default=true()),
    Column("reviews", Boolean, nullable=False, server_default=true()),
    Column("evening", Boolean, nullable=False, server_default=false()),
    Column("scores", Boolean, nullable=False, server_default=true()),
    Column("talk", String, nullable=False, server_default="short"),
    CheckConstraint("remind IN ('all', 'sync', 'none')", name="remind"),
    CheckConstraint("pictures IN ('light', 'dark')", name="pictures"),
    CheckConstraint("talk IN ('short', 'full')", name="talk"),
)

shifts = Table(
    "shifts",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("name", String, primary_key=True),
    Column("quiet_from", Time, nullable=False),
    Column("quiet_to", Time, nullable=False),
)

shift_switches = Table(
    "shift_switches",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("from_on", Date, primary_key=True),
    Column("name", String, nullable=False),
)

shifts_begun = Table(
    "shifts_begun",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("from_on", Date, primary_key=True),
    Column("name", String, nullable=False),
)

entries = Table(
    "entries",
    metadata,
    Column("id", Integer, primary_key=True),
    person(),
    Column("kind", String, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("said", Text, nullable=False),
    Column("body", JSON, nullable=False),
    Column("message_id", String),
    Column("update_id", String, nullable=False),
    Column("ordinal", Integer, nullable=False),
    Column("logged_at", UtcDateTime, nullable=False),
    Column("removed_at", UtcDateTime),
    UniqueConstraint("person", "update_id", "ordinal"),
    Index("ix_entries_person_kind_at", "person", "kind", "at"),
    Index("ix_entries_person_kind_id", "person", "kind", "id"),
    Index("ix_entries_person_id", "person", "id"),
    Index("ix_entries_person_message_id", "person", "message_id"),
    # An old button names an entry by its id: that of an erased one must not come to mean another.
    sqlite_autoincrement=True,
)

personal_words = Table(
    "personal_words",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("name", String, primary_key=True),
    Column("kind", String, nullable=False),
    Column("body", JSON, nullable=False),
    Column("taught_at", UtcDateTime, nullable=False),
    CheckConstraint("kind IN ('food', 'meal')", name="kind"),
)

facts = Table(
    "facts",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False),
    Column("what", String, nullable=False),
    Column("value", String, nullable=False),
    Column("said", Text, nullable=False),
    Column("told_at", UtcDateTime, nullable=False),
    UniqueConstraint("person", "what", "value"),
)

cautions = Table(
    "cautions",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("kind", String, primary_key=True),
    Column("level", Integer, nullable=False),
    Column("said_at", UtcDateTime, nullable=False),
)

acts = Table(
    "acts",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False),
    Column("update_id", String, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("kept", JSON, nullable=False),
    Column("undone_at", UtcDateTime),
    UniqueConstraint("person", "update_id"),
)

comparisons = Table(
    "comparisons",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("sides", String, primary_key=True),
    Column("p", Float, nullable=False),
    Column("asked_at", UtcDateTime, nullable=False),
)

trials = Table(
    "trials",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("protocol", JSON, nullable=False),
    Column("proposed_at", UtcDateTime, nullable=False),
    # As with entries: an old button names a trial by its id.
    sqlite_autoincrement=True,
)

trial_steps = Table(
    "trial_steps",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("trial_id", Integer, ForeignKey("trials.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("what", String, nullable=False),
    Column("until", UtcDateTime),
    Column("update_id", String, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("undone_at", UtcDateTime),
    CheckConstraint("what IN ('agreed', 'put off', 'stopped', 'judged')", name="what"),
)

shares = Table(
    "shares",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("other", String, ForeignKey("people.id", ondelete="CASCADE"), index=True),
    Column("words", String, nullable=False),
    Column("digest", String, unique=True),
    Column("expires_at", UtcDateTime, nullable=False),
    Column("agreed_at", UtcDateTime),
    # A picture names a share by its id: that of an ended one must not come to mean another.
    sqlite_autoincrement=True,
)

invitations = Table(
    "invitations",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("digest", String, unique=True),
    Column("person", String, index=True),  # not yet among `people` when they take it
    Column("expires_at", UtcDateTime, nullable=False),
)

changes = Table(
    "changes",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("entry_id", Integer, ForeignKey("entries.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("what", String, nullable=False),
    Column("update_id", String, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("before", JSON(none_as_null=True)),
    Column("after", JSON(none_as_null=True)),
)

photos = Table(
    "photos",
    metadata,
    Column("id", Integer, primary_key=True),
    person(),
    Column("entry_id", Integer, ForeignKey("entries.id", ondelete="CASCADE"), index=True),
    Column("at", UtcDateTime, nullable=False),
    Column("message_id", String),
    Column("shared", Boolean, nullable=False),
    Column("jpeg", LargeBinary, nullable=False),
    Index("ix_photos_person_at", "person", "at"),
    # As with entries: an old button names a photo by its id.
    sqlite_autoincrement=True,
)

imports = Table(
    "imports",
    metadata,
    Column("id", Integer, primary_key=True),
    person(),
    Column("source", String, nullable=False),
    Column("name", String, nullable=False),
    Column("update_id", String, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("stored", Integer, nullable=False),
    Column("known", Integer, nullable=False),
    Column("differing", Integer, nullable=False),
    Column("first_at", UtcDateTime),
    Column("last_at", UtcDateTime),
    Index("ix_imports_person_update_id", "person", "update_id"),
    Index("ix_imports_person_at", "person", "at"),
)

readings = Table(
    "readings",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("at", UtcDateTime, primary_key=True),
    Column("source", String, primary_key=True),
    Column("mmol", Float),  # none where the sensor was out of its range, as the flag says
    Column("flag", String, nullable=False),
    Column("specimen", String, nullable=False, server_default=""),
    Column("import_id", Integer, ForeignKey("imports.id", ondelete="CASCADE"), nullable=False, index=True),
    CheckConstraint("source IN ('file', 'typed', 'meter', 'second')", name="source"),
    CheckConstraint("mmol IS NOT NULL OR flag <> ''", name="value"),
    # The rows then lie in the order of their key, which is how a curve is read.
    sqlite_with_rowid=False,
)

reminders = Table(
    "reminders",
    metadata,
    Column("id", Integer, primary_key=True),
    person(),
    Column("kind", String, nullable=False),
    Column("entry_id", Integer, ForeignKey("entries.id", ondelete="CASCADE"), index=True),
    Column("due_at", UtcDateTime, nullable=False),
    Column("state", String, nullable=False),
    Column("settled_at", UtcDateTime),
    CheckConstraint("state IN ('pending', 'sent', 'dropped')", name="state"),
    Index("ix_reminders_person_kind_due_at", "person", "kind", "due_at"),
    # With the number, by which equal instants are ordered: a tick takes a few of however many are due.
    Index("ix_reminders_due", "due_at", "id", **where(PENDING)),
    Index("ix_reminders_due_of_kind", "kind", "due_at", "id", **where(PENDING)),
    Index("ix_reminders_pending", "person", "due_at", **where(PENDING)),
    Index("ix_reminders_sent", "person", "kind", "settled_at", **where(SENT)),
    # NULLs count as different in a unique index, so "about no entry" needs one of its own.
    Index(
        "uq_reminders_pending_entry",
        "person",
        "kind",
        "entry_id",
        unique=True,
        **where(f"{PENDING} AND entry_id IS NOT NULL"),
    ),
    Index(
        "uq_reminders_pending",
        "person",
        "kind",
        unique=True,
        **where(f"{PENDING} AND entry_id IS NULL"),
    ),
)

tokens = Table(
    "tokens",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("digest", String, nullable=False, unique=True),
    Column("made_at", UtcDateTime, nullable=False),
)

posts = Table(
    "posts",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("key", String, primary_key=True),
    Column("digest", String, nullable=False),
    Column("answer", JSON, nullable=False),
    Column("at", UtcDateTime, nullable=False),
)
