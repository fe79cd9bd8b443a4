"""What SQLite has committed is put on the disk for several transactions at once, while others are made.

SQLite itself would wait for the disk at each commit with its one writer's place taken. Here a commit only
writes to the journal (WAL, `synchronous=NORMAL`), and who made it then waits for the disk without that
place; one wait serves all who committed before it began. A power cut in between loses what nobody was told
of, and no transaction without those after it: the journal is read up to its last whole record.
"""

import os
import threading
from pathlib import Path

from bot.model.errors import StoreError


class Syncing:
    """The journal of one SQLite file; `file` is None where there is none to be waited for."""

    def __init__(self, file: Path | None) -> None:
        self._journal = None if file is None else file.with_name(f"{file.name}-wal")
        self._counting, self._waiting = threading.Lock(), threading.Lock()
        self._committed = self._synced = 0

    def wait(self) -> None:
        """Return once everything that was committed is on the disk.

        StoreError when that cannot be done: what was committed may then be found at the next start.
        """
        if self._journal is None:
            return
        with self._counting:
            self._committed += 1
            mine = self._committed
        with self._waiting:
            if self._synced < mine:
                upto = self._committed
                try:
                    _sync(self._journal)
                except OSError as error:
                    raise StoreError(f"The database's disk fails: {error.strerror}.") from error
                self._synced = upto


def _sync(file: Path) -> None:
    try:
        handle = os.open(file, os.O_RDWR)
    except FileNotFoundError:  # SQLite has moved it into the database, and waited for that
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
