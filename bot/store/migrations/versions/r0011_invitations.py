"""Who may talk to a bot that is not open to all."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"


def upgrade() -> None:
    """Create the table of invitations."""
    op.create_table(
        "invitations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=True),
        sa.Column("person", sa.String(), nullable=True),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitations")),
        sa.UniqueConstraint("digest", name=op.f("uq_invitations_digest")),
    )
    op.create_index(op.f("ix_invitations_person"), "invitations", ["person"])
