"""A person's own words, and the questions that were put to them."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Create both tables."""
    op.create_table(
        "personal_words",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("taught_at", sa.BigInteger(), nullable=False),
        sa.CheckConstraint("kind IN ('food', 'meal')", name=op.f("ck_personal_words_kind")),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_personal_words_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "name", name=op.f("pk_personal_words")),
    )
    op.create_table(
        "asked",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("choices", sa.JSON(), nullable=False),
        sa.Column("asked_at", sa.BigInteger(), nullable=False),
        sa.Column("answer", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("answered_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entries.id"], name=op.f("fk_asked_entry_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_asked_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_asked")),
        sa.UniqueConstraint("person", "about", name=op.f("uq_asked_person_about")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_asked_entry_id"), "asked", ["entry_id"], unique=False)
