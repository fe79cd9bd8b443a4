"""Trials that a person agreed to, and what became of them."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    """Create the tables of trials and of their steps."""
    op.create_table(
        "trials",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("protocol", sa.JSON(), nullable=False),
        sa.Column("proposed_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name=op.f("fk_trials_person"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trials")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_trials_person"), "trials", ["person"])
    op.create_table(
        "trial_steps",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("trial_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("until", sa.BigInteger(), nullable=True),
        sa.Column("update_id", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("undone_at", sa.BigInteger(), nullable=True),
        sa.CheckConstraint(
            "what IN ('agreed', 'put off', 'stopped', 'judged')", name=op.f("ck_trial_steps_what")
        ),
        sa.ForeignKeyConstraint(
            ["trial_id"], ["trials.id"], name=op.f("fk_trial_steps_trial_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trial_steps")),
    )
    op.create_index(op.f("ix_trial_steps_trial_id"), "trial_steps", ["trial_id"])
