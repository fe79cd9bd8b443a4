"""The first tables. Instants are whole microseconds since 1970 in UTC."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Create everything."""
    op.create_table(
        "inbox",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("update_id", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("raw", sa.Text(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("error", sa.Text(), nullable=True),
        sa.Column("received_at", sa.BigInteger(), nullable=False),
        sa.Column("settled_at", sa.BigInteger(), nullable=True),
        sa.CheckConstraint("state IN ('new', 'done', 'failed', 'parked')", name=op.f("ck_inbox_state")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inbox")),
        sa.UniqueConstraint("update_id", name=op.f("uq_inbox_update_id")),
    )
    op.create_index(op.f("ix_inbox_person"), "inbox", ["person"], unique=False)
    op.create_index(
        "ix_inbox_waiting",
        "inbox",
        ["id"],
        unique=False,
        sqlite_where=sa.text("state IN ('new', 'failed')"),
        postgresql_where=sa.text("state IN ('new', 'failed')"),
    )
    op.create_table(
        "people",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("zone", sa.String(), nullable=False),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("quiet_from", sa.Time(), nullable=False),
        sa.Column("quiet_to", sa.Time(), nullable=False),
        sa.Column("sync_lead_min", sa.Integer(), nullable=False),
        sa.Column("memory_min", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
    )
    op.create_table(
        "entries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("message_id", sa.String(), nullable=True),
        sa.Column("update_id", sa.String(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("logged_at", sa.BigInteger(), nullable=False),
        sa.Column("removed_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_entries_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entries")),
        sa.UniqueConstraint(
            "person", "update_id", "ordinal", name=op.f("uq_entries_person_update_id_ordinal")
        ),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_entries_person_kind_at", "entries", ["person", "kind", "at"], unique=False)
    op.create_index("ix_entries_person_kind_id", "entries", ["person", "kind", "id"], unique=False)
    op.create_index("ix_entries_person_message_id", "entries", ["person", "message_id"], unique=False)
    op.create_table(
        "imports",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("update_id", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("stored", sa.Integer(), nullable=False),
        sa.Column("known", sa.Integer(), nullable=False),
        sa.Column("differing", sa.Integer(), nullable=False),
        sa.Column("first_at", sa.BigInteger(), nullable=True),
        sa.Column("last_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_imports_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_imports")),
    )
    op.create_index("ix_imports_person_update_id", "imports", ["person", "update_id"], unique=False)
    op.create_table(
        "changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("update_id", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("before", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("after", sa.JSON(none_as_null=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entries.id"], name=op.f("fk_changes_entry_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_changes")),
    )
    op.create_index(op.f("ix_changes_entry_id"), "changes", ["entry_id"], unique=False)
    op.create_table(
        "outbox",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("buttons", sa.JSON(), nullable=False),
        sa.Column("picture", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("document_name", sa.String(), nullable=True),
        sa.Column("document", sa.LargeBinary(), nullable=True),
        sa.Column("replaces", sa.String(), nullable=True),
        sa.Column("reminder", sa.Boolean(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("update_id", sa.String(), nullable=True),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("ref", sa.String(), nullable=True),
        sa.Column("error", sa.Text(), nullable=True),
        sa.Column("queued_at", sa.BigInteger(), nullable=False),
        sa.Column("settled_at", sa.BigInteger(), nullable=True),
        sa.CheckConstraint(
            "state IN ('unsent', 'sent', 'uncertain', 'failed')", name=op.f("ck_outbox_state")
        ),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entries.id"], name=op.f("fk_outbox_entry_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outbox")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_outbox_entry_id"), "outbox", ["entry_id"], unique=False)
    op.create_index("ix_outbox_person_ref", "outbox", ["person", "ref"], unique=False)
    op.create_index(
        "ix_outbox_unsent",
        "outbox",
        ["id"],
        unique=False,
        sqlite_where=sa.text("state = 'unsent'"),
        postgresql_where=sa.text("state = 'unsent'"),
    )
    op.create_table(
        "pending",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("asked_at", sa.BigInteger(), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entries.id"], name=op.f("fk_pending_entry_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_pending_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_pending")),
    )
    op.create_index(op.f("ix_pending_entry_id"), "pending", ["entry_id"], unique=False)
    op.create_table(
        "readings",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("mmol", sa.Float(), nullable=False),
        sa.Column("flag", sa.String(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("source IN ('file', 'typed')", name=op.f("ck_readings_source")),
        sa.ForeignKeyConstraint(
            ["import_id"], ["imports.id"], name=op.f("fk_readings_import_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_readings_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "at", "source", name=op.f("pk_readings")),
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_readings_import_id"), "readings", ["import_id"], unique=False)
    op.create_table(
        "reminders",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("due_at", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("settled_at", sa.BigInteger(), nullable=True),
        sa.CheckConstraint("state IN ('pending', 'sent', 'dropped')", name=op.f("ck_reminders_state")),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entries.id"], name=op.f("fk_reminders_entry_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_reminders_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reminders")),
    )
    op.create_index(
        "ix_reminders_due",
        "reminders",
        ["due_at"],
        unique=False,
        sqlite_where=sa.text("state = 'pending'"),
        postgresql_where=sa.text("state = 'pending'"),
    )
    op.create_index(op.f("ix_reminders_entry_id"), "reminders", ["entry_id"], unique=False)
    op.create_index(
        "ix_reminders_pending",
        "reminders",
        ["person", "due_at"],
        unique=False,
        sqlite_where=sa.text("state = 'pending'"),
        postgresql_where=sa.text("state = 'pending'"),
    )
    op.create_index(
        "ix_reminders_sent",
        "reminders",
        ["person", "kind", "settled_at"],
        unique=False,
        sqlite_where=sa.text("state = 'sent'"),
        postgresql_where=sa.text("state = 'sent'"),
    )
    op.create_index(
        "ix_reminders_person_kind_due_at", "reminders", ["person", "kind", "due_at"], unique=False
    )
    op.create_index(
        "uq_reminders_pending",
        "reminders",
        ["person", "kind"],
        unique=True,
        sqlite_where=sa.text("state = 'pending' AND entry_id IS NULL"),
        postgresql_where=sa.text("state = 'pending' AND entry_id IS NULL"),
    )
    op.create_index(
        "uq_reminders_pending_entry",
        "reminders",
        ["person", "kind", "entry_id"],
        unique=True,
        sqlite_where=sa.text("state = 'pending' AND entry_id IS NOT NULL"),
        postgresql_where=sa.text("state = 'pending' AND entry_id IS NOT NULL"),
    )
