"""Tokens that let a person's programs post readings, and the answers to posts that named themselves."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Create both tables."""
    op.create_table(
        "tokens",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_tokens_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_tokens")),
        sa.UniqueConstraint("digest", name=op.f("uq_tokens_digest")),
    )
    op.create_table(
        "posts",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_posts_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("person", "key", name=op.f("pk_posts")),
    )
