"""Indexes by which the reminders that are due come in their order, however many are; and those of a kind."""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"

_PENDING = sa.text("state = 'pending'")


def upgrade() -> None:
    """Make the index of what is due anew with the number, by which equal instants are ordered; add the other."""
    where = {"sqlite_where": _PENDING, "postgresql_where": _PENDING}
    op.drop_index("ix_reminders_due", "reminders")
    op.create_index("ix_reminders_due", "reminders", ["due_at", "id"], **where)
    op.create_index("ix_reminders_due_of_kind", "reminders", ["kind", "due_at", "id"], **where)
