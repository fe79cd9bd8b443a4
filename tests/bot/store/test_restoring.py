"""Whatever is put back in the place of a database: a whole copy comes, or all stays, and why is said."""

import random
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.errors import StoreError
from bot.store import open_store
from bot.store.copies import copies_folder, copy_to, kept_copies, make_copy, restore
from bot.store.sealing import seal
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, ensure, later, meal, readings


@pytest.fixture
def url(file_url: str) -> str:
    """A database in use: with an entry that its copy has not."""
    store = open_store(file_url)
    with store.begin() as tx:
        ensure(tx)
        for number in range(40):
            add(tx, meal(f"porridge {number}"), f"u{number}")
        tx.readings.add(TRAM, readings(500), source="file", at=NOW, update_id="file")
    store.close()
    return file_url


@pytest.fixture
def copy(url: str, tmp_path: Path) -> Path:
    file = tmp_path / "kept" / "copy.db"
    copy_to(url, file)
    store = open_store(url)
    with store.begin() as tx:
        add(tx, meal("soup"), "u-soup")
    store.close()
    return file


def content(file: Path) -> list[str]:
    with closing(sqlite3.connect(file)) as connection:
        return [line for line in connection.iterdump() if "sqlite_sequence" not in line]


def change(file: Path, *sql: str) -> None:
    """Change a copy as a program would that seals what it made."""
    with closing(sqlite3.connect(file)) as connection:
        for one in sql:
            connection.execute(one)
        connection.commit()
    seal(file)


def put(file: Path, new: bytes) -> None:
    file.write_bytes(new)


BAD: dict[str, tuple[Callable[[Path], None], str]] = {
    "empty": (lambda f: put(f, b""), "is empty"),
    "cut": (lambda f: put(f, f.read_bytes()[: f.stat().st_size // 2]), "is damaged"),
    "cut within a page": (lambda f: put(f, f.read_bytes()[:-777]), "is damaged"),
    "zeros": (lambda f: put(f, f.read_bytes()[:-40_960] + b"\0" * 40_960), "is damaged"),
    "text": (lambda f: put(f, b"time,glucose\n" * 999), "no database, or one that is encrypted by a key"),
    "newer": (
        lambda f: change(f, "UPDATE alembic_version SET version_num = '9999'"),
        "written by a newer tablenote",
    ),
    "another program's": (
        lambda f: change(f, "DROP TABLE outbox", "DROP TABLE people"),
        "belongs to another program",
    ),
    "a table is gone": (lambda f: change(f, "DROP TABLE readings"), "holds what cannot be read"),
    "a column is gone": (
        lambda f: change(f, "ALTER TABLE readings RENAME COLUMN specimen TO other"),
        "holds what cannot be read",
    ),
    "an entry is no JSON": (
        lambda f: change(f, "UPDATE entries SET body = '{'"),
        "holds what cannot be read",
    ),
    "an entry of no kind": (
        lambda f: change(f, "UPDATE entries SET body = '{\"at\": 3}'"),
        "holds what cannot be read",
    ),
    "rows without an owner": (
        lambda f: change(f, "UPDATE readings SET person = 'gone'"),
        "belong to nothing",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_used_changes_nothing_and_is_told(
    url: str, db_file: Path, copy: Path, name: str
) -> None:
    harm, told = BAD[name]
    before, beside = content(db_file), {file.name for file in db_file.parent.iterdir()}
    harm(copy)
    with pytest.raises(StoreError, match=told) as refused:
        restore(copy, url, NOW)
    assert str(refused.value).count(str(copy)) == 1
    assert ".new" not in str(refused.value)
    assert content(db_file) == before
    assert {file.name for file in db_file.parent.iterdir()} <= beside | {
        "tablenote.db-wal",
        "tablenote.db-shm",
    }


def test_any_flipped_bit_is_found(url: str, db_file: Path, copy: Path) -> None:
    before, whole, draw = content(db_file), copy.read_bytes(), random.Random(1)
    for _ in range(60):
        harmed = bytearray(whole)
        harmed[draw.randrange(len(whole))] ^= 1 << draw.randrange(8)
        copy.write_bytes(harmed)
        with pytest.raises(StoreError):
            restore(copy, url, NOW)
    assert content(db_file) == before
    copy.write_bytes(whole)
    restore(copy, url, NOW)
    assert content(db_file) != before


class Killed(BaseException):
    """What a process that is killed does from then on: nothing."""


class Reaper:
    """Ends the work at the n-th time that it renames, links, deletes or opens a file of a folder."""

    def __init__(self) -> None:
        self.folder, self.left, self.killed = "", -1, False
        sys.addaudithook(self._see)

    def _see(self, event: str, args: tuple[object, ...]) -> None:
        if self.left < 0 or event not in ("os.remove", "os.rename", "os.link", "open", "sqlite3.connect"):
            return
        if self.folder not in str(args[0]):
            return
        self.left -= 1
        if self.left <= 0:
            self.left, self.killed = 0, True
            raise Killed(event)


REAPER = Reaper()


@pytest.fixture
def reaper(tmp_path: Path) -> Iterator[Reaper]:
    REAPER.folder, REAPER.killed = str(tmp_path), False
    yield REAPER
    REAPER.left = -1


def test_killed_at_any_step_the_old_or_the_new_one_is_there_whole(
    url: str, db_file: Path, copy: Path, reaper: Reaper
) -> None:
    new, old = content(copy), content(db_file)
    assert new != old
    came, steps = set(), 0
    while not came or reaper.killed:
        steps += 1
        for file in db_file.parent.glob("tablenote.db*"):
            file.unlink()
        with closing(sqlite3.connect(db_file)) as connection:
            connection.executescript("\n".join(old))
            connection.execute("PRAGMA journal_mode = WAL")
        reaper.killed, reaper.left = False, steps
        try:
            restore(copy, url, later(steps))
        except (Killed, StoreError):
            assert reaper.killed
        reaper.left = -1
        found = content(db_file)
        assert found in (old, new), steps
        came.add(found == new)
        if reaper.killed:
            restore(copy, url, later(1000 + steps))
            assert content(db_file) == new
    assert came == {True, False}
    assert steps > 10


def test_a_copy_that_was_used_as_a_database_can_still_be_put_back(
    url: str, db_file: Path, copy: Path
) -> None:
    store = open_store(f"sqlite:///{copy}")
    with store.begin() as tx:
        add(tx, meal("pudding"), "u-pudding")
    store.close()
    restore(copy, url, NOW)
    assert any("pudding" in line for line in content(db_file))


def test_a_copy_that_is_in_use_is_put_back_as_it_is_by_then(url: str, db_file: Path, copy: Path) -> None:
    store = open_store(f"sqlite:///{copy}")
    with store.begin() as tx:
        add(tx, meal("pudding"), "u-pudding")
    with store.begin() as tx:
        add(tx, meal("half a jelly"), "u-jelly")
        restore(copy, url, NOW)
    store.close()
    found = " ".join(content(db_file))
    assert "pudding" in found
    assert "jelly" not in found


def test_a_copy_from_which_somebody_was_erased_is_whole_and_one_half_made_is_gone(file_url: str) -> None:
    app = App(file_url, zone="Europe/Vienna", clock=SettableClock(NOW), copies=3)
    with app.store.begin() as tx:
        ensure(tx)
        add(tx, meal("a secret pudding"), "u1")
        add(tx, meal("toast"), "u2", person=DEPOT)
    app.tick()
    folder = copies_folder(file_url)
    assert folder is not None
    begun = folder / "tablenote-20260301-080000.db.part"
    begun.write_bytes(b"a secret pudding in half a copy")
    with app.store.begin() as tx:
        tx.people.erase(TRAM)
    app.close()
    assert not begun.exists()
    (copy,) = kept_copies(folder)
    restore(copy, file_url, later(9))
    harmed = bytearray(copy.read_bytes())
    harmed[-5] ^= 1
    copy.write_bytes(harmed)
    with pytest.raises(StoreError):
        restore(copy, file_url, later(10))


def test_copies_that_were_cut_off_do_not_stay(url: str) -> None:
    folder = copies_folder(url)
    assert folder is not None
    make_copy(url, folder, NOW, keep=3)
    begun = folder / "tablenote-20260101-080000.db.part"
    begun.write_bytes(b"half")
    made = make_copy(url, folder, later(3 * 365 * 1440), keep=3)
    assert made.exists()
    assert not begun.exists()
