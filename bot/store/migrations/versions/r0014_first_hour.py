"""What a newcomer is asked once, the invented sample, and a clock of twelve hours."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"


def upgrade() -> None:
    """Create the tables of the first hour, and the column of the clock."""
    op.add_column("people", sa.Column("clock", sa.String(), nullable=False, server_default="24"))
    op.create_table(
        "first_hour",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("topic", sa.String(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("begun_at", sa.BigInteger(), nullable=False),
        sa.Column("asked_at", sa.BigInteger(), nullable=True),
        sa.Column("settled", sa.Boolean(), nullable=False, server_default=sa.false()),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_first_hour_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "topic", name=op.f("pk_first_hour")),
    )
    op.create_table(
        "samples",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("update_id", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_samples_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_samples")),
    )
