"""What a person wants to be reminded of, how long a sensor is worn, and shift patterns."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Add the settings to the people, and the tables of shifts."""
    with op.batch_alter_table("people") as people:
        people.add_column(sa.Column("remind", sa.String(), server_default="all", nullable=False))
        people.add_column(sa.Column("nudge", sa.Boolean(), server_default=sa.false(), nullable=False))
        people.add_column(sa.Column("sensor_days", sa.Integer(), server_default="14", nullable=False))
        people.add_column(sa.Column("no_checks_until", sa.BigInteger(), nullable=True))
        people.create_check_constraint(op.f("ck_people_remind"), "remind IN ('all', 'sync', 'none')")
    op.create_table(
        "shifts",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("quiet_from", sa.Time(), nullable=False),
        sa.Column("quiet_to", sa.Time(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_shifts_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("person", "name", name=op.f("pk_shifts")),
    )
    op.create_table(
        "shift_switches",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_shift_switches_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "from_on", name=op.f("pk_shift_switches")),
    )
