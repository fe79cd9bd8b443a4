"""A process of our own for what takes long, so that no note waits for it.

Threads would not do: it is Python code for the most part, of which one process runs one piece at a time.
"""

import logging
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from bot.model.errors import StoreError
from bot.store import Store, open_store

T = TypeVar("T")
_log = logging.getLogger(__name__)
LONGEST_S = 120
_EACH = 300
"""So much a process does before a fresh one takes its place."""
MOST_MB = 300
"""One that holds more afterwards is ended: libraries keep what nobody can have them give back."""


class OwnProcess:
    """One process, started when first needed; several threads may ask it, one piece of work after the other.

    called: what it does, for the log; one that dies is started anew, once for a task; one that takes too long
    is ended, as is one that has grown beyond `most_mb`, where the system tells
    """

    def __init__(self, called: str, most_mb: float = MOST_MB) -> None:
        self._called, self._most_mb = called, most_mb
        self._pool: ProcessPoolExecutor | None = None
        self._changing = threading.Lock()
        self._closed = False

    def run(self, task: Callable[..., T], *given: Any) -> T:
        """Return what a function of a module returns for what is given; what goes wrong is raised here.

        StoreError: it was closed, as the bot is being stopped
        """
        try:
            return self._ask(task, given)
        except BrokenProcessPool:
            _log.warning("the process that %s ended at work; another one tries", self._called)
        return self._ask(task, given)

    def renew(self) -> None:
        """Let a fresh process do what comes next; this one, with all it keeps, ends with what it is at."""
        with self._changing:
            pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(wait=False)

    def close(self) -> None:
        """End the process, whatever it is at; nothing can be asked of it afterwards."""
        with self._changing:
            pool, self._pool, self._closed = self._pool, None, True
        if pool is not None:
            _end(pool)

    def _ask(self, task: Callable[..., T], given: tuple[Any, ...]) -> T:
        pool, waiting = self._submit(task, given)
        try:
            done, mb = waiting.result(LONGEST_S)
        except (BrokenProcessPool, TimeoutError, CancelledError):
            if self._closed:
                raise StoreError("closed") from None
            with self._changing:
                if self._pool is pool:
                    self._pool = None
            _end(pool)
            raise
        if mb > self._most_mb:
            _log.info("the process that %s held %.0f MB and is ended", self._called, mb)
            self.renew()
        return done

    def _submit(
        self, task: Callable[..., T], given: tuple[Any, ...]
    ) -> tuple[ProcessPoolExecutor, "Future[tuple[T, float]]"]:
        with self._changing:
            if self._closed:
                raise StoreError("closed")
            if self._pool is not None:
                try:
                    return self._pool, self._pool.submit(_do, task, given)
                except BrokenProcessPool:  # one died while it had nothing to do
                    _end(self._pool)
            self._pool = ProcessPoolExecutor(
                1, multiprocessing.get_context("spawn"), _begin, (), max_tasks_per_child=_EACH
            )
            return self._pool, self._pool.submit(_do, task, given)


def _end(pool: ProcessPoolExecutor) -> None:
    processes = list((pool._processes or {}).values())  # no public way ends one that is at work
    pool.shutdown(wait=False)
    for process in processes:
        process.kill()


def _begin() -> None:
    """Let this process end with the bot, however that ends, and not before."""
    for number in (signal.SIGINT, signal.SIGTERM):  # sent to the whole group when the bot is to stop
        signal.signal(number, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)


def _do(task: Callable[..., T], given: tuple[Any, ...]) -> tuple[T, float]:
    return task(*given), _held_mb()


def _held_mb() -> float:
    """Return how much memory this process holds, 0 where the system does not tell."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@cache
def opened(db: str) -> Store:
    """Return the store of this process at an address."""
    return open_store(db)
