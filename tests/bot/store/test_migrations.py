import re
import shutil

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine, event, inspect, text

from bot.model.entries import Fact
from bot.store import open_store, schema
from bot.store.tables import metadata
from tests.bot.store.samples import ONLY_SQLITE, TRAM, add, ensure, meal


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request) -> str:
    """A database of the test's own, migrated from the first version, since it is altered."""
    url: str = request.getfixturevalue("file_url" if request.param == "sqlite" else "address")
    migrate(url)
    return url


def migrate(url: str) -> None:
    engine = plain_engine(url)
    with engine.begin() as connection:
        schema.upgrade(connection)
    engine.dispose()


def plain_engine(url: str) -> Engine:
    return create_engine(url)


def read_schema(engine: Engine) -> dict[str, list[str]]:
    """Return each table and index as SQLite keeps it, its constraints sorted: their order means nothing."""
    query = text("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    with engine.connect() as connection:
        # a table built anew has its name in quotes
        kept = {
            name: " ".join(sql.split()).replace(f'"{name}"', name) for name, sql in connection.execute(query)
        }
    return {name: sorted(re.split(r", (?=CONSTRAINT)| \)", sql)) for name, sql in kept.items()}


def test_the_migrated_tables_are_those_of_the_code(url):
    engine = plain_engine(url)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
    engine.dispose()


@ONLY_SQLITE
def test_so_are_checks_and_indexes_word_for_word(url):
    """Alembic compares no checks and few conditions of indexes; the text that SQLite keeps has them all."""
    migrated, created = plain_engine(url), create_engine("sqlite://")
    with created.begin() as connection:
        schema.bring_up(connection)
    assert read_schema(migrated) == read_schema(created)
    migrated.dispose()
    created.dispose()


def test_head_is_the_newest_revision():
    config = Config()
    config.set_main_option("script_location", str(schema.MIGRATIONS))
    config.set_main_option("path_separator", "os")
    assert ScriptDirectory.from_config(config).get_current_head() == schema.HEAD


NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "next"
down_revision = "{head}"


def upgrade():
    anew = "always" if op.get_context().dialect.name == "sqlite" else "auto"
    with op.batch_alter_table("people", recreate=anew) as people:
        people.add_column(sa.Column("nickname", sa.String()))
    {then}
"""


@pytest.fixture
def add_revision(tmp_path, monkeypatch):
    """Let a later version bring one more revision, which builds the table of people anew."""

    def add_one(then: str) -> None:
        folder = tmp_path / "migrations"
        shutil.copytree(schema.MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
        revision = NEXT.format(head=schema.HEAD, then=then)
        (folder / "versions" / "next.py").write_text(revision)
        monkeypatch.setattr(schema, "MIGRATIONS", folder)
        monkeypatch.setattr(schema, "HEAD", "next")

    return add_one


@pytest.fixture
def filled(url):
    store = open_store(url)
    with store.begin() as tx:
        ensure(tx)
        add(tx, meal())
    store.close()
    return url


def columns_of_people(url: str) -> set[str]:
    engine = plain_engine(url)
    names = {column["name"] for column in inspect(engine).get_columns("people")}
    engine.dispose()
    return names


def test_a_later_migration_keeps_what_refers_to_a_table_it_builds_anew(filled, add_revision):
    add_revision("pass")
    store = open_store(filled)
    with store.read() as tx:
        assert len(tx.log.last(TRAM)) == 1
    if filled.startswith("sqlite"):
        with store._engine.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    store.close()
    assert "nickname" in columns_of_people(filled)


def test_a_migration_that_breaks_leaves_everything_as_it_was(filled, add_revision, monkeypatch):
    before = columns_of_people(filled)
    add_revision("raise RuntimeError('the disk is full')")
    with pytest.raises(RuntimeError, match="disk is full"):
        open_store(filled)
    assert columns_of_people(filled) == before
    monkeypatch.undo()
    store = open_store(filled)
    with store.read() as tx:
        assert len(tx.log.last(TRAM)) == 1
    store.close()


@ONLY_SQLITE
def test_queries_of_every_turn_use_an_index(filled):
    """What grows with the years is never read from end to end."""
    store = open_store(filled)
    with store.begin() as tx:  # a row in each table that is only asked where it holds something
        logged = tx.log.last(TRAM)[0]
        tx.pending.ask(TRAM, "time", None, logged.at, logged.at)
        tx.words.teach(TRAM, "stew", "meal", meal(), logged.at)
        tx.shifts.plan(TRAM, logged.at.date(), "late")
        tx.asked.put(TRAM, "portion rice", logged.id, [], logged.at)
        tx.facts.keep(TRAM, Fact("other", "left-handed", "I am left-handed"), logged.at)
        tx.photos.add(TRAM, b"", at=logged.at, message_id=None)
        tx.trials.propose(TRAM, {}, logged.at)
    plans: list[str] = []
    sorted_rows: list[str] = []

    def explain(connection, cursor, statement, parameters, context, many):
        if statement.startswith(("SELECT", "UPDATE", "DELETE")):
            rows = cursor.connection.execute("EXPLAIN QUERY PLAN " + statement, parameters).fetchall()
            plans.extend(f"{row[3]} -- {statement}" for row in rows)
            sorted_rows.extend(statement for row in rows if "TEMP B-TREE" in row[3])

    event.listen(store._engine, "before_cursor_execute", explain)
    with store.begin() as tx:
        logged = tx.log.last(TRAM)[0]
        tx.log.last_logged(TRAM, ("meal",))
        tx.log.last_logged(TRAM)
        tx.log.between(TRAM, ("meal",), logged.at, logged.at)
        tx.log.history(logged.id)
        tx.inbox.waiting()
        tx.inbox.state("1")
        tx.inbox.is_overtaken("1", TRAM)
        tx.files.get(TRAM, logged.at)
        tx.files.drop_expired(logged.at)
        tx.files.choice(TRAM, "time | glucose", "column")
        tx.readings.lots(TRAM, "1")
        tx.readings.files_since(TRAM, logged.at, 3)
        tx.readings.arrays(TRAM, logged.at, logged.at)
        tx.readings.last_at(TRAM)
        tx.readings.last_at(TRAM, "file")
        tx.reminders.due(logged.at)
        tx.reminders.next_due_at()
        tx.reminders.pending(TRAM)
        tx.reminders.last_sent(TRAM, "sync")
        tx.reminders.sent_since(TRAM, "sync", logged.at)
        tx.reminders.count_sent(TRAM, "sync", 3)
        tx.reminders.is_planned_since(TRAM, "sync", logged.at)
        tx.reminders.due_along(TRAM, logged.at)
        tx.shifts.switches(TRAM)
        tx.shifts.all(TRAM)
        tx.outbox.unsent()
        tx.pending.get(TRAM, logged.at)
        tx.words.all(TRAM)
        tx.asked.get(1)
        tx.asked.about(TRAM, "portion rice")
        tx.trials.all(TRAM)
        tx.log.stated_grams(TRAM, logged.at)
        assert sorted_rows == []
        tx.facts.all(TRAM)
        tx.photos.waiting(TRAM, logged.at)
        tx.log.of_message(TRAM, "m")
        tx.outbox.entry_of(TRAM, "1")
        tx.people.erase(TRAM)
    store.close()
    # The first three hold open rows only; the last is no table.
    short = ("ix_inbox_waiting", "ix_outbox_unsent", "ix_reminders_due", "SCAN CONSTANT ROW")
    scans = [plan for plan in plans if plan.startswith("SCAN") and not any(name in plan for name in short)]
    assert plans
    assert scans == []


def test_readings_of_an_older_version_are_kept(tmp_path):
    url = f"sqlite:///{tmp_path / 'older.db'}"
    engine = plain_engine(url)
    with engine.begin() as connection:
        schema.upgrade(connection, to="0004")
        for row in (
            "INSERT INTO people "
            "(id, zone, unit, quiet_from, quiet_to, sync_lead_min, memory_min, created_at) "
            f"VALUES ('{TRAM}', 'UTC', 'mmol/L', '23:00:00', '06:30:00', 60, 480, 0)",
            "INSERT INTO imports (id, person, source, name, update_id, at, stored, known, differing) "
            f"VALUES (7, '{TRAM}', 'file', 'a.csv', 'u', 0, 2, 0, 0)",
            f"INSERT INTO readings VALUES ('{TRAM}', 0, 'file', 5.4, '', 7)",
            f"INSERT INTO readings VALUES ('{TRAM}', 60000000, 'typed', 6.1, 'high limit', 7)",
        ):
            connection.execute(text(row))
    engine.dispose()
    store = open_store(url)
    with store.begin() as tx:
        assert tx.readings.arrays(TRAM, None, None) == ([0, 60], [5.4, 6.1], ["", "high limit"])
        assert tx.readings.drop_lots(TRAM, [7]) == 2, "they still belong to their import"
    store.close()
