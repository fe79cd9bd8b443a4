"""A migration that is killed half-way leaves the database as it was; the next start brings it up to date."""

import os
import signal
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Engine, event

from bot.store import open_store, schema
from bot.store.store import _begin, _create_engine, parse_url

REVISIONS = sorted(file.name[1:5] for file in (schema.MIGRATIONS / "versions").glob("r*.py"))


def migrate(url: str, to: str, die_after: int | None = None) -> int:
    """Bring a database to a revision; return how many statements that took, or end with one of them."""
    done = 0

    def count(*_: object) -> None:
        nonlocal done
        done += 1
        if done == die_after:
            os.kill(os.getpid(), signal.SIGKILL)

    engine: Engine = _create_engine(parse_url(url), in_memory=False)
    with engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert isinstance(raw, sqlite3.Connection)
        raw.execute("PRAGMA journal_mode = WAL")
        raw.execute("PRAGMA foreign_keys = OFF")
        with connection.begin():
            _begin(connection, writes=True)
            event.listen(engine, "after_cursor_execute", count)
            schema.upgrade(connection, to)
    engine.dispose()
    return done


def killed_at(url: str, to: str, statement: int) -> None:
    """Migrate in a process that is killed right after a statement."""
    child = os.fork()
    if child == 0:
        try:
            migrate(url, to, die_after=statement)
        finally:
            os._exit(1)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL


def contents(file: Path) -> dict[str, list[tuple[object, ...]]]:
    """Return all tables, as they are made and with all their rows."""
    with closing(sqlite3.connect(file)) as connection:
        made = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'").fetchall()
        rows = {name: connection.execute(f'SELECT * FROM "{name}"').fetchall() for name, _ in made}
    return rows | {"": sorted(made)}


@pytest.fixture
def url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'bot.db'}"


@pytest.mark.parametrize(("before", "to"), list(zip([None, *REVISIONS[:-1]], REVISIONS, strict=True)))
def test_killed_in_the_middle_it_is_as_before_and_opens(
    url: str, tmp_path: Path, before: str | None, to: str
) -> None:
    if before is not None:
        migrate(url, before)
        with closing(sqlite3.connect(tmp_path / "bot.db")) as connection, connection:
            connection.execute(
                "INSERT INTO inbox (update_id, person, raw, state, attempts, received_at) "
                "VALUES ('tg:1', 'tg:7', '{}', 'new', 0, 1772434800000)"
            )
    whole = tmp_path / "whole.db"
    was = contents(tmp_path / "bot.db") if before is not None else {"": []}
    if before is not None:
        whole.write_bytes((tmp_path / "bot.db").read_bytes())
    statements = migrate(f"sqlite:///{whole}", to)
    for at in sorted({max(1, statements // 2), statements - 1, statements}):
        killed_at(url, to, at)
        assert contents(tmp_path / "bot.db") == was
    open_store(url).close()
    with closing(sqlite3.connect(tmp_path / "bot.db")) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == (schema.HEAD,)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        kept = connection.execute("SELECT update_id, state FROM inbox").fetchall()
    assert kept == ([] if before is None else [("tg:1", "new")])
