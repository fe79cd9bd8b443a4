"""What people say of themselves, and whether they chose their unit."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Create the table of facts."""
    op.create_table(
        "facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("told_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_facts_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_facts")),
        sa.UniqueConstraint("person", "what", "value", name=op.f("uq_facts_person_what_value")),
    )
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("unit_chosen", sa.Boolean(), server_default=sa.false(), nullable=False))
