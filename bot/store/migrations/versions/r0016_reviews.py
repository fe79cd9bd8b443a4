"""Whether the week, and each day, is looked back on by itself."""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"


def upgrade() -> None:
    """Add the two settings to the people."""
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("reviews", sa.Boolean(), server_default=sa.true(), nullable=False))
        people.add_column(sa.Column("evening", sa.Boolean(), server_default=sa.false(), nullable=False))
