import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from bot.store import Store, Transaction, open_store
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
def url(db_file: Path) -> str:
    return f"sqlite:///{db_file}"


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
