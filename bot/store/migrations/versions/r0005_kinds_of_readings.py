"""Readings without a value, what they were measured in, second sensors; files that wait for an answer."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

_SOURCES = "source IN ('file', 'typed', 'meter', 'second')"


def upgrade() -> None:
    """Build the table of readings anew, and add those of open files and of what was answered."""
    # SQLite builds the table anew, where a column can stand anywhere; PostgreSQL adds it at the end.
    place: dict[str, Any] = {"insert_after": "flag"} if op.get_bind().dialect.name == "sqlite" else {}
    with op.batch_alter_table("readings", table_kwargs={"sqlite_with_rowid": False}) as readings:
        readings.alter_column("mmol", existing_type=sa.Float(), nullable=True)
        readings.add_column(sa.Column("specimen", sa.String(), server_default="", nullable=False), **place)
        readings.drop_constraint(op.f("ck_readings_source"), type_="check")
        readings.create_check_constraint(op.f("ck_readings_source"), _SOURCES)
        readings.create_check_constraint(op.f("ck_readings_value"), "mmol IS NOT NULL OR flag <> ''")
    op.create_table(
        "open_files",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.Column("second", sa.Boolean(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("options", sa.JSON(), nullable=False),
        sa.Column("layout", sa.String(), nullable=False),
        sa.Column("chosen_column", sa.String(), nullable=True),
        sa.Column("day_first", sa.Boolean(), nullable=True),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_open_files_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_open_files")),
        sa.UniqueConstraint("person", name=op.f("uq_open_files_person")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_open_files_expires_at"), "open_files", ["expires_at"], unique=False)
    op.create_table(
        "file_choices",
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("layout", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("choice", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person"], ["people.id"], name=op.f("fk_file_choices_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person", "layout", "about", name=op.f("pk_file_choices")),
    )
