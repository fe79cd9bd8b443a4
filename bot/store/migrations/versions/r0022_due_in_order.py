"""Indexes by which the reminders that are due come in their order, however many are; and those of a kind."""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"

_PENDING = sa.text("state = 'pending'")


def upgrade() -> None:
    """Make the index of what is due anew with the number, which orders equal instants; add the other."""
    op.drop_index("ix_reminders_due", "reminders")
    for name, columns in (
        ("ix_reminders_due", ["due_at", "id"]),
        ("ix_reminders_due_of_kind", ["kind", "due_at", "id"]),
    ):
        op.create_index(name, "reminders", columns, sqlite_where=_PENDING, postgresql_where=_PENDING)
