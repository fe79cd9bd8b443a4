"""Photos of meals."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"


def upgrade() -> None:
    """Create the table of photos."""
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("message_id", sa.String(), nullable=True),
        sa.Column("shared", sa.Boolean(), nullable=False),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["entries.id"], name=op.f("fk_photos_entry_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_photos_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photos")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_photos_entry_id"), "photos", ["entry_id"])
    op.create_index("ix_photos_person_at", "photos", ["person", "at"])
