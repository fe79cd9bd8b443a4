"""Ends what takes far too long in a thread, so that one message cannot hold up all others for ever."""

import ctypes
import logging
import os
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

T = TypeVar("T")
_log = logging.getLogger(__name__)
TURN_S = 20.0
"""So long one turn may take: the slowest answers over a year of data take two to three seconds."""
GRACE_S = 40.0
"""So long code may then go on that cannot be interrupted, before the process ends."""
STUCK = 75
"""The exit code then: “try again later” (sysexits.h)."""


class OutOfTime(Exception):
    """Raised inside what took too long."""


@dataclass(eq=False)
class _Watched:
    """Work that goes on in a thread.

    claim: who gets it first decides: the work that has ended, or the watcher that ends it
    told: the exception is on its way; `until` is then when the process ends
    """

    thread: int
    until: float
    grace_s: float
    claim: threading.Lock = field(default_factory=threading.Lock)
    told: bool = False


class _Watcher:
    """One thread that watches all work; it wakes when a time is up, and not with each piece of work."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._watched: set[_Watched] = set()
        self._wakes_at = float("inf")
        self._thread: threading.Thread | None = None

    def add(self, work: _Watched) -> None:
        with self._changed:
            self._watched.add(work)
            if self._thread is None:
                self._thread = threading.Thread(target=self._watch, name="time limit", daemon=True)
                self._thread.start()
            if work.until < self._wakes_at:
                self._changed.notify()

    def remove(self, work: _Watched) -> None:
        """Watch no more; nothing is raised after it. May be called again when it was interrupted.

        It takes no lock that others wait for: an exception right after taking it would leave it taken.
        """
        if not work.claim.acquire(blocking=False):
            while not work.told:
                time.sleep(0)
        self._watched.discard(work)

    def _watch(self) -> None:
        with self._changed:
            while True:
                now = time.monotonic()
                for work in list(self._watched):
                    if work.until <= now:
                        self._end(work)
                going_on = [work.until for work in list(self._watched)]
                self._wakes_at = min(going_on, default=float("inf"))
                self._changed.wait(max(0.0, self._wakes_at - now) if going_on else None)

    def _end(self, work: _Watched) -> None:
        if work.told:
            _log.critical("A turn cannot be ended %g s after its time; the process ends.", work.grace_s)
            logging.shutdown()
            os._exit(STUCK)
        if work.claim.acquire(blocking=False):
            work.until += work.grace_s
            _raise_in(work.thread, OutOfTime)
            work.told = True


_watcher = _Watcher()


def within(seconds: float, work: Callable[[], T], grace_s: float = GRACE_S) -> T:
    """Return what `work` returns; OutOfTime is raised inside it once it has taken `seconds`.

    Python code ends where it stands. Code in C that never returns cannot be ended in a thread, and holds its
    lock on the database: after `grace_s` more the process ends, and a service manager starts it anew;
    an update that does so three times is put aside.
    """
    watched = _Watched(threading.get_ident(), time.monotonic() + seconds, grace_s)
    try:
        _watcher.add(watched)  # in here, since a short time may be up before it returns
        return work()
    finally:
        # It is raised once, at the next call or return of this thread, whatever that is. So it can come in
        # here, too, but not between these lines: what they call is called inside the inner `try`.
        while True:
            try:
                _watcher.remove(watched)
                break
            except OutOfTime:
                pass
        if watched.told:  # taking back what was never on its way would have CPython look for it ever after
            _raise_in(watched.thread, None)


def _raise_in(thread: int, error: type[Exception] | None) -> None:
    """Have an exception raised in a thread at its next step; None takes back one that waits."""
    ctypes.pythonapi.PyThreadState_SetAsyncExc(
        ctypes.c_ulong(thread), None if error is None else ctypes.py_object(error)
    )
