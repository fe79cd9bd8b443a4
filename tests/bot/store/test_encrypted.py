"""An SQLite file encrypted by a key: used, copied, put back, moved and erased from like a plain one."""

from pathlib import Path

import pytest

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.errors import StoreError
from bot.store import open_store
from bot.store.copies import check_before_use, copies_folder, copy_to, kept_copies, make_copy, restore
from bot.store.moving import move
from tests.bot.store.full import fill
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, ensure, later, meal
from tests.talk import Talk

pytest.importorskip("sqlcipher3")


def address(file: Path, key: str = "a%20long%22key") -> str:
    return (
        f"sqlite+pysqlcipher://:{key}@/{file}?kdf_iter=1000"  # fewer rounds than in earnest: tests are short
    )


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "bot.db"


def meals(url: str, person: str = TRAM) -> list[str]:
    store = open_store(url)
    with store.read() as tx:
        found = [logged.entry.said for logged in tx.log.between(person, ("meal",), None, None)]
    store.close()
    return found


def note(url: str, said: str, person: str = TRAM) -> None:
    store = open_store(url)
    with store.begin() as tx:
        ensure(tx)
        add(tx, meal(said), said, person=person)
    store.close()


def test_nothing_is_readable_without_its_key(file: Path) -> None:
    app = App(address(file), zone="Europe/Vienna", clock=SettableClock(NOW))
    talk = Talk(app, SettableClock(NOW))
    assert "Noted" in talk.say("60 g of semolina pudding")
    for part in file.parent.iterdir():
        assert b"semolina" not in part.read_bytes()
        assert not part.read_bytes().startswith(b"SQLite format 3")
        assert part.stat().st_mode & 0o077 == 0
    app.close()
    for wrong in (address(file, "another"), f"sqlite:///{file}"):
        with pytest.raises(StoreError):
            open_store(wrong)
        with pytest.raises(StoreError, match=r"encrypted by a(nother)? key"):
            check_before_use(wrong)
    check_before_use(address(file))
    assert meals(address(file), "local") == ["60 g of semolina pudding"]


def test_copies_are_encrypted_and_put_back(file: Path) -> None:
    url = address(file)
    folder = copies_folder(url)
    assert folder is not None
    note(url, "semolina")
    copy = make_copy(url, folder, NOW, keep=3)
    assert b"semolina" not in copy.read_bytes()
    note(url, "soup")
    restore(copy, url, later(5))
    assert meals(url) == ["semolina"]
    content = bytearray(copy.read_bytes())
    content[9000:9010] = b"\0" * 10  # one page no longer fits its checksum
    copy.write_bytes(content)
    with pytest.raises(StoreError):
        restore(copy, url, later(6))
    assert meals(url) == ["semolina"]


def test_who_is_erased_is_erased_from_the_copies(file: Path) -> None:
    app = App(address(file), zone="Europe/Vienna", clock=SettableClock(NOW), copies=3)
    with app.store.begin() as tx:
        ensure(tx)
        add(tx, meal("semolina"), "u1")
        add(tx, meal("toast"), "u2", person=DEPOT)
    app.tick()
    folder = copies_folder(address(file))
    assert folder is not None
    (copy,) = kept_copies(folder)
    with app.store.begin() as tx:
        tx.people.erase(TRAM)
    app.close()
    assert meals(address(copy)) == []
    assert meals(address(copy), DEPOT) == ["toast"]


def test_a_plain_record_moves_into_an_encrypted_one(file: Path, tmp_path: Path) -> None:
    plain = f"sqlite:///{tmp_path / 'plain.db'}"
    open_store(plain).close()
    fill(plain)
    assert sum(table.rows for table in move(plain, address(file))) > 30


def test_a_database_that_is_held_is_told_in_words(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bot.store.store.BUSY_TIMEOUT_S", 0.1)
    note(address(file), "semolina")
    store = open_store(address(file))
    other = open_store(address(file))
    with store.begin() as tx:
        add(tx, meal("soup"), "soup")
        with pytest.raises(StoreError, match="cannot be used"), other.begin():
            pass
    store.close()
    other.close()


def test_a_copy_is_put_back_by_its_own_key_only(file: Path, tmp_path: Path) -> None:
    note(address(file), "semolina")
    copy = tmp_path / "copy.db"
    copy_to(address(file), copy)
    plain = f"sqlite:///{tmp_path / 'plain.db'}"
    note(plain, "soup")
    for url, why in ((address(tmp_path / "other.db", "another"), "another key"), (plain, "does not hold")):
        if url != plain:
            note(url, "soup")
        with pytest.raises(StoreError, match=why):
            restore(copy, url, NOW)
        assert meals(url) == ["soup"]
    harmed = bytearray(copy.read_bytes())
    harmed[len(harmed) // 2] ^= 1
    copy.write_bytes(harmed)
    with pytest.raises(StoreError):
        restore(copy, address(file), NOW)
    assert meals(address(file)) == ["semolina"]
