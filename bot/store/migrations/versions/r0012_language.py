"""In which language somebody is answered."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    """Add the setting to the people."""
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("language", sa.String(), server_default="en", nullable=False))
