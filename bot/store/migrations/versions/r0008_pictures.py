"""Whether pictures are light or dark, and which shift began when."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    """Add the setting to the people, and the table of shifts that began."""
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("pictures", sa.String(), server_default="light", nullable=False))
        people.create_check_constraint(op.f("ck_people_pictures"), "pictures IN ('light', 'dark')")
    op.create_table(
        "shifts_begun",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_shifts_begun_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "from_on", name=op.f("pk_shifts_begun")),
    )
