"""How a message goes out: as an album, as an answer, as a mark on a message, without a sound, pinned."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    """Add the ways of sending to the outbox."""
    with op.batch_alter_table("outbox", table_kwargs={"sqlite_autoincrement": True}) as outbox:
        outbox.add_column(sa.Column("pictures", sa.JSON(none_as_null=True), nullable=True))
        outbox.add_column(sa.Column("answers_to", sa.String(), nullable=True))
        outbox.add_column(sa.Column("reaction", sa.String(), nullable=True))
        outbox.add_column(sa.Column("silent", sa.Boolean(), server_default=sa.false(), nullable=False))
        outbox.add_column(sa.Column("pinned", sa.Boolean(), server_default=sa.false(), nullable=False))
        outbox.add_column(sa.Column("unpins", sa.String(), nullable=True))
        outbox.create_check_constraint(
            op.f("ck_outbox_reaction"), "reaction IN ('noted', 'synced', 'thanks')"
        )
