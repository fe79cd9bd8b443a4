"""The store's tests run on SQLite and on PostgreSQL, through the fixtures `url` and what is built on it."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import URL

from bot.store import Store, Transaction, open_store
from tests.bot.store.postgresql import empty, new_database, running_server
from tests.bot.store.samples import ensure


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new database file, made once."""
    file = tmp_path_factory.mktemp("store") / "empty.db"
    open_store(f"sqlite:///{file}").close()
    return file


@pytest.fixture
def db_file(empty_file: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(empty_file, tmp_path / "tablenote.db"))


@pytest.fixture
def file_url(db_file: Path) -> str:
    """An SQLite file of the test's own, its tables made."""
    return f"sqlite:///{db_file}"


@pytest.fixture(scope="session")
def server() -> Iterator[URL]:
    """A PostgreSQL server, started when the first test wants it."""
    with running_server() as address:
        yield address


@pytest.fixture(scope="session")
def shared(server: URL) -> Iterator[str]:
    """A PostgreSQL database, its tables made once."""
    with new_database(server) as address:
        open_store(address).close()
        yield address


@pytest.fixture
def address(server: URL) -> Iterator[str]:
    """A PostgreSQL database of the test's own, without tables."""
    with new_database(server) as address:
        yield address


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> Iterator[str]:
    """A database with its tables and nothing in them: each test runs on both kinds."""
    if request.param == "sqlite":
        yield request.getfixturevalue("file_url")
        return
    shared: str = request.getfixturevalue("shared")
    yield shared
    empty(shared)


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    store = open_store(url)
    yield store
    store.close()


@pytest.fixture
def tx(store: Store) -> Iterator[Transaction]:
    """One open transaction, with two people in it."""
    with store.begin() as tx:
        ensure(tx)
        yield tx
