"""The pinned card of each person's day, and whether they want one."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"


def upgrade() -> None:
    """Create the table of cards, and add the setting to the people."""
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("card", sa.Boolean(), server_default=sa.true(), nullable=False))
    op.create_table(
        "cards",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("since", sa.BigInteger(), nullable=False),
        sa.Column("until", sa.BigInteger(), nullable=False),
        sa.Column("outbox_id", sa.Integer(), nullable=False),
        sa.Column("ref", sa.String(), nullable=True),
        sa.Column("basis", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_cards_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_cards")),
    )
