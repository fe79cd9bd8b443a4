"""All that is held about a person, table by table: what an export holds is what erasing deletes."""

import pytest

from bot.store import Store, open_store
from bot.store.tables import metadata
from tests.bot.store.full import fill
from tests.bot.store.samples import TRAM


@pytest.fixture
def full(url: str) -> Store:
    fill(url)
    return open_store(url)


def test_each_table_of_the_person_is_in_it(full: Store) -> None:
    with full.read() as tx:
        assert set(tx.everything(TRAM)) == {table.name for table in metadata.sorted_tables}
        assert tx.everything("tg:9") == {}
    full.close()


def test_nothing_is_left_once_erased(full: Store) -> None:
    with full.begin() as tx:
        tx.people.erase(TRAM)
    with full.read() as tx:
        assert tx.everything(TRAM) == {}
    full.close()


def test_no_fingerprint_of_a_secret_is_handed_out(full: Store) -> None:
    with full.read() as tx:
        assert not [row for rows in tx.everything(TRAM).values() for row in rows if "digest" in row]
    full.close()
