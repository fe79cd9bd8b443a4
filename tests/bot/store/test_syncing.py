"""What was said to be kept survives a power cut, and one wait for the disk serves several transactions."""

import shutil
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from bot.model.errors import StoreError
from bot.store import open_store, syncing
from bot.store.syncing import Syncing
from tests.bot.store.samples import TRAM, add, ensure, later, meal


def test_a_power_cut_takes_nothing_that_was_said_to_be_kept(
    db_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After each transaction only so much of the journal is left as the disk was waited for."""
    journal, on_disk = db_file.with_name(f"{db_file.name}-wal"), 0
    real = syncing._sync

    def note(file: Path) -> None:
        nonlocal on_disk
        assert file == journal
        on_disk = journal.stat().st_size
        real(file)

    monkeypatch.setattr(syncing, "_sync", note)
    store = open_store(f"sqlite:///{db_file}")
    for n in range(5):
        with store.begin() as tx:
            ensure(tx, TRAM)
            add(tx, meal(at=later(n)), f"u{n}")
        cut = tmp_path / f"cut{n}.db"
        shutil.copy(db_file, cut)
        cut.with_name(f"{cut.name}-wal").write_bytes(journal.read_bytes()[:on_disk])
        left = open_store(f"sqlite:///{cut}")
        with left.read() as tx:
            assert len(tx.log.last(TRAM, n=9)) == n + 1
        left.close()
    store.close()


def test_one_wait_serves_all_who_committed_before_it_began(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    waits, disk, begun = [], threading.Event(), threading.Event()

    def slow(file: Path) -> None:
        waits.append(file)
        begun.set()
        assert disk.wait(10)

    monkeypatch.setattr(syncing, "_sync", slow)
    journal = Syncing(tmp_path / "a.db")
    with ThreadPoolExecutor(9) as pool:
        first = pool.submit(journal.wait)
        assert begun.wait(10)
        others = [pool.submit(journal.wait) for _ in range(8)]
        while journal._committed < 9:
            assert not any(one.done() for one in others), "the first wait began before they committed"
        disk.set()
        for one in (first, *others):
            one.result(10)
    assert len(waits) == 2


def test_a_disk_that_fails_is_told_and_tried_again(db_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real, calls = syncing._sync, 0

    def fail_once(file: Path) -> None:
        nonlocal calls
        calls += 1
        if calls == 1:
            raise OSError(5, "Input/output error")
        real(file)

    store = open_store(f"sqlite:///{db_file}")
    monkeypatch.setattr(syncing, "_sync", fail_once)
    with pytest.raises(StoreError, match="disk"), store.begin() as tx:
        ensure(tx, TRAM)
    with store.begin() as tx:
        ensure(tx, TRAM)
    assert calls == 2
    store.close()
