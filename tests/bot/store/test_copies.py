"""Copies of a database: whole, rotated, put back; who was erased is gone from them, too."""

import threading
from datetime import timedelta
from pathlib import Path

import pytest

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.errors import StoreError
from bot.store import open_store
from bot.store.copies import check_whole, copies_folder, is_copy_due, kept_copies, make_copy, restore
from tests.bot.store.full import fill
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, ensure, later, meal


@pytest.fixture
def url(file_url: str) -> str:
    return file_url


def _folder(url: str) -> Path:
    folder = copies_folder(url)
    assert folder is not None
    return folder


def _meals(file: Path, person: str = TRAM) -> list[str]:
    store = open_store(f"sqlite:///{file}")
    with store.read() as tx:
        found = [logged.entry.said for logged in tx.log.between(person, ("meal",), None, None)]
    store.close()
    return found


def test_the_newest_copies_stay(url: str) -> None:
    made = [make_copy(url, _folder(url), later(day * 1440), keep=3) for day in range(5)]
    assert kept_copies(_folder(url)) == made[2:]
    assert all(file.stat().st_mode & 0o077 == 0 for file in made[2:])
    assert {file.name for file in _folder(url).iterdir()} == {file.name for file in made[2:]}


def test_a_copy_is_of_one_moment_while_others_write(url: str) -> None:
    """Two rows that are always written together are both in a copy, or neither."""
    store = open_store(url)
    with store.begin() as tx:
        ensure(tx)
    stop = threading.Event()

    def write() -> None:
        for number in range(400):
            if stop.is_set():
                return
            with store.begin() as tx:
                add(tx, meal(f"a{number}"), f"u{number}")
                add(tx, meal(f"b{number}"), f"u{number}", ordinal=1)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        copies = [make_copy(url, _folder(url), later(n), keep=9) for n in range(5)]
    finally:
        stop.set()
        writer.join()
        store.close()
    counts = [len(_meals(file)) for file in copies]
    assert all(count % 2 == 0 for count in counts)
    assert counts == sorted(counts)


def test_a_copy_is_put_back_and_what_was_there_is_kept(url: str, db_file: Path) -> None:
    store = open_store(url)
    with store.begin() as tx:
        ensure(tx)
        add(tx, meal("porridge"), "u1")
    copy = make_copy(url, _folder(url), NOW, keep=3)
    with store.begin() as tx:
        add(tx, meal("soup"), "u2")
    store.close()
    before = restore(copy, url, later(5))
    assert _meals(db_file) == ["porridge"]
    assert before is not None
    assert _meals(before) == ["porridge", "soup"]
    assert _meals(copy) == ["porridge"]


@pytest.mark.parametrize("content", [b"", b"no database", b"SQLite format 3\0" + b"\0" * 5000])
def test_what_is_no_copy_changes_nothing(url: str, db_file: Path, tmp_path: Path, content: bytes) -> None:
    fill(url)
    before = db_file.read_bytes()
    bad = tmp_path / "bad.db"
    bad.write_bytes(content)
    with pytest.raises(StoreError):
        restore(bad, url, NOW)
    assert db_file.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir() if "bad" not in p.name) == ["tablenote.db"]


def test_a_damaged_database_is_found(db_file: Path, url: str) -> None:
    fill(url)
    content = bytearray(db_file.read_bytes())
    content[4096 * 3 : 4096 * 4] = b"\x07" * 4096
    db_file.write_bytes(content)
    with pytest.raises(StoreError, match="damaged"):
        check_whole(url)


def test_who_is_erased_is_erased_from_the_copies(url: str) -> None:
    clock = SettableClock(NOW)
    app = App(url, zone="Europe/Vienna", clock=clock, copies=3)
    with app.store.begin() as tx:
        ensure(tx)
        add(tx, meal("a secret pudding"), "u1")
        add(tx, meal("toast"), "u2", person=DEPOT)
    app.tick()
    (copy,) = kept_copies(_folder(url))
    with app.store.begin() as tx:
        tx.people.erase(TRAM)
    app.close()
    assert b"secret pudding" not in copy.read_bytes()
    assert _meals(copy, DEPOT) == ["toast"]


def test_who_is_erased_is_erased_from_what_was_put_aside(url: str, db_file: Path) -> None:
    app = App(url, zone="Europe/Vienna", clock=SettableClock(NOW), copies=3)
    app.tick()
    with app.store.begin() as tx:
        ensure(tx)
        add(tx, meal("a secret pudding"), "u1")
        add(tx, meal("toast"), "u2", person=DEPOT)
    app.close()
    (copy,) = kept_copies(_folder(url))
    aside = restore(copy, url, later(10))
    assert aside is not None
    assert b"secret pudding" in aside.read_bytes()
    app = App(url, zone="Europe/Vienna", clock=SettableClock(NOW), copies=3)
    with app.store.begin() as tx:
        ensure(tx)
        tx.people.erase(TRAM)
    app.close()
    assert _meals(aside, DEPOT) == ["toast"]
    assert [f.name for f in db_file.parent.rglob("*") if f.is_file() and b"pudding" in f.read_bytes()] == []


def test_a_copy_that_cannot_be_opened_goes_when_somebody_is_erased(url: str) -> None:
    app = App(url, zone="Europe/Vienna", clock=SettableClock(NOW), copies=3)
    with app.store.begin() as tx:
        ensure(tx)
    app.tick()
    (copy,) = kept_copies(_folder(url))
    copy.write_bytes(b"a secret pudding in a damaged file")
    with app.store.begin() as tx:
        tx.people.erase(TRAM)
    app.close()
    assert not copy.exists()


def test_the_clock_makes_one_copy_a_day(url: str) -> None:
    clock = SettableClock(NOW)
    app = App(url, zone="Europe/Vienna", clock=clock, copies=2)
    for hours in range(0, 72, 3):
        clock.move_to(NOW + timedelta(hours=hours))
        app.tick()
    app.close()
    assert [file.stem for file in kept_copies(_folder(url))] == [
        "tablenote-20260303-080000",
        "tablenote-20260304-080000",
    ]


def test_a_full_disk_stops_no_reminder(
    url: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    app = App(url, zone="Europe/Vienna", clock=SettableClock(NOW), copies=2)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    assert app.tick() == []
    monkeypatch.undo()
    app.close()
    assert "No space left" in caplog.text
    assert kept_copies(_folder(url)) == []


def test_copies_of_a_wrong_clock_stop_none_and_outlive_none(url: str) -> None:
    folder, year = _folder(url), 365 * 1440
    ahead = [make_copy(url, folder, later(year + day * 1440), keep=3) for day in range(3)]
    assert is_copy_due(folder, NOW)
    made = []
    for day in range(3):
        made.append(make_copy(url, folder, later(day * 1440), keep=3))
        assert made[-1].exists()
        assert len(kept_copies(folder)) == 3
        assert not is_copy_due(folder, later(day * 1440 + 60))
    assert kept_copies(folder) == made
    assert not any(file.exists() for file in ahead)
    back = make_copy(url, folder, later(-year), keep=3)
    assert back.exists()
    assert len(kept_copies(folder)) == 3
