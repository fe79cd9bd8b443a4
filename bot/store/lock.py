"""Keeps a second bot off an SQLite file."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bot.model.errors import StoreError
from bot.store.store import parse_url, sqlite_file


@contextmanager
def lock_single(url: str) -> Iterator[None]:
    """Hold the database at `url` for this process; a StoreError when another one holds it.

    The lock is the operating system's and ends with the process, however it ends. A database in memory and
    PostgreSQL, where several bots may share one, are not locked.
    """
    file = sqlite_file(parse_url(url))
    if file is None:
        yield
        return
    # Not on Windows, where only this function would miss it.
    import fcntl

    lock_file = Path(f"{file}.lock")
    try:
        lock_file.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(lock_file, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise StoreError(f"{lock_file} cannot be written: {error.strerror}.") from error
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise StoreError(
                "Another tablenote already runs on this database, and SQLite serves one at a time: stop it "
                "first, use another --db, or use PostgreSQL for several."
            ) from error
        yield
    finally:
        os.close(handle)
