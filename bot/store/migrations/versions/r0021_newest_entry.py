"""An index by which the entry that somebody logged last is found at once, whatever kind it is."""

from alembic import op

revision = "0021"
down_revision = "0020"


def upgrade() -> None:
    """Create the index."""
    op.create_index(op.f("ix_entries_person_id"), "entries", ["person", "id"])
