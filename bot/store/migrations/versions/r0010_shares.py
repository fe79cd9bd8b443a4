"""Meals that two people set side by side, by consent of both."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    """Create the table of shares."""
    op.create_table(
        "shares",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("other", sa.String(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("digest", sa.String(), nullable=True),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.Column("agreed_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_shares_person"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["other"], ["people.id"], name=op.f("fk_shares_other"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shares")),
        sa.UniqueConstraint("digest", name=op.f("uq_shares_digest")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_shares_person"), "shares", ["person"])
    op.create_index(op.f("ix_shares_other"), "shares", ["other"])
