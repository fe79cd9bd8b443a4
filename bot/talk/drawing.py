"""Pictures and whole reports, drawn in a process of their own, so that no answer in words waits for one.

Threads would not do: drawing is Python code for the most part, of which one process runs one piece at a time.
"""

import logging
import multiprocessing
import os
import signal
import threading
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import cache
from pathlib import Path

from bot.language.texts import speaking
from bot.model.messages import Picture, PictureSpec
from bot.store import SPOKEN, Store, open_store

_log = logging.getLogger(__name__)
_LONGEST_S = 120
_EACH = 300
"""So many pictures a process draws before a fresh one takes its place."""
MOST_MB = 300
"""One that holds more after a picture is ended: libraries keep what nobody can have them give back."""


def draw(store: Store, spec: PictureSpec, person: str) -> Picture:
    """Draw one picture, in the language of whom it is for."""
    if spec.kind == "report":
        from bot.report.sending import draw_report as drawn
    elif spec.kind == "everything":
        from bot.export.package import draw_package as drawn
    else:
        from bot.answers.drawing import draw as drawn
    with store.read() as tx:
        known = tx.people.get(person)
        with speaking(*SPOKEN if known is None else known.spoken):
            return drawn(tx, spec, person)


class Drawer:
    """One process that draws from the database at an address, started when first needed.

    One that dies is started anew, once for a picture; one that takes too long is ended, as is one that has
    grown beyond `most_mb`, where the system tells.
    """

    def __init__(self, db: str, most_mb: float = MOST_MB) -> None:
        self._db, self._most_mb = db, most_mb
        self._pool: ProcessPoolExecutor | None = None

    def draw(self, spec: PictureSpec, person: str) -> Picture:
        """Draw one picture; what goes wrong with it is raised here."""
        try:
            return self._ask(spec, person)
        except BrokenProcessPool:
            _log.warning("the process that draws ended while it drew %s; another one tries", spec.kind)
            self.close()
            return self._ask(spec, person)
        except TimeoutError:
            self.close()
            raise

    def close(self) -> None:
        """End the process, whatever it is at."""
        pool, self._pool = self._pool, None
        if pool is not None:
            processes = list((pool._processes or {}).values())  # no public way ends one that is at work
            pool.shutdown(wait=False, cancel_futures=True)
            for process in processes:
                process.kill()

    def _ask(self, spec: PictureSpec, person: str) -> Picture:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                1, multiprocessing.get_context("spawn"), _begin, (), max_tasks_per_child=_EACH
            )
        drawn, held_mb = self._pool.submit(_draw, self._db, spec, person).result(_LONGEST_S)
        if held_mb > self._most_mb:
            _log.info("the process that draws held %.0f MB and is ended", held_mb)
            self.close()
        return drawn


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


def _draw(db: str, spec: PictureSpec, person: str) -> tuple[Picture, float]:
    return draw(_opened(db), spec, person), _held_mb()


def _held_mb() -> float:
    """Return how much memory this process holds, 0 where the system does not tell."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@cache
def _opened(db: str) -> Store:
    return open_store(db)
