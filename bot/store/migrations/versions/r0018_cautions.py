"""Which caution was said when, whether scores are shown, and what each turn changed of settings and words."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"


def upgrade() -> None:
    """Add the tables and the setting."""
    op.create_table(
        "cautions",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("level", sa.Integer(), nullable=False),
        sa.Column("said_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_cautions_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "kind", name=op.f("pk_cautions")),
    )
    op.create_table(
        "acts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("update_id", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("kept", sa.JSON(), nullable=False),
        sa.Column("undone_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_acts_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_acts")),
        sa.UniqueConstraint("person", "update_id", name=op.f("uq_acts_person_update_id")),
    )
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("scores", sa.Boolean(), server_default=sa.true(), nullable=False))
