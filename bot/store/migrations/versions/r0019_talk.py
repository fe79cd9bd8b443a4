"""How much the bot says to a person; when files came, and what was said since when, by person."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"


def upgrade() -> None:
    """Add the setting to the people, and the indexes."""
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("talk", sa.String(), server_default="short", nullable=False))
        people.create_check_constraint(op.f("ck_people_talk"), "talk IN ('short', 'full')")
    op.create_index("ix_imports_person_at", "imports", ["person", "at"], unique=False)
    op.create_index("ix_outbox_person_queued_at", "outbox", ["person", "queued_at"], unique=False)
