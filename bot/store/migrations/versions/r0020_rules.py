"""Rules of eating in a person's own words, and entries that are left out of what is shared."""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"


def upgrade() -> None:
    """Create the tables of rules and of private entries."""
    op.create_table(
        "rules",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("said_at", sa.BigInteger(), nullable=False),
        sa.Column("ended_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_rules_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rules")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_rules_person"), "rules", ["person"])
    op.create_table(
        "private_entries",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entries.id"], name=op.f("fk_private_entries_entry_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_private_entries_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_private_entries")),
    )
    op.create_index(op.f("ix_private_entries_person"), "private_entries", ["person"])
