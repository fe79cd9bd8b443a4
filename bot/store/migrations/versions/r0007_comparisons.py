"""The comparisons somebody asked for."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Create the table of comparisons."""
    op.create_table(
        "comparisons",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("sides", sa.String(), nullable=False),
        sa.Column("p", sa.Float(), nullable=False),
        sa.Column("asked_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_comparisons_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "sides", name=op.f("pk_comparisons")),
    )
