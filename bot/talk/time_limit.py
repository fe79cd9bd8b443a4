"""Ends what takes far too long in a thread, so that one message cannot hold up all others for ever."""

import ctypes
import logging
import os
import threading
import time
from collections.abc import Callable
from contextlib import suppress
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


def within(seconds: float, work: Callable[[], T], grace_s: float = GRACE_S) -> T:
    """Return what `work` returns; OutOfTime is raised inside it once it has taken `seconds`.

    Python code ends where it stands. Code in C that never returns cannot be ended in a thread, and holds its
    lock on the database: after `grace_s` more the process ends, and a service manager starts it anew;
    an update that does so three times is put aside.
    """
    thread = threading.get_ident()
    working, watching = threading.Lock(), threading.Lock()  # held while the one or the other goes on
    working.acquire()
    watching.acquire()

    def watch() -> None:
        if not working.acquire(timeout=seconds):
            _raise_in(thread, OutOfTime)
            if not working.acquire(timeout=grace_s):
                _log.critical("A turn cannot be ended after %g s; the process ends.", seconds + grace_s)
                logging.shutdown()
                os._exit(STUCK)
        watching.release()

    watcher = threading.Thread(target=watch, name="time limit", daemon=True)
    try:
        watcher.start()  # in here, since a short time may be up before it returns
        return work()
    finally:
        # It is raised once, at the next call or return of this thread, whatever that is. So it can come in
        # here, too, but not between these lines: what they call is called inside the inner `try`.
        while True:
            try:
                _end_watch(working, watching, watcher)
                break
            except OutOfTime:
                pass
        _raise_in(thread, None)


def _end_watch(working: threading.Lock, watching: threading.Lock, watcher: threading.Thread) -> None:
    if working.locked():
        with suppress(RuntimeError):  # the watcher was quicker to let go of it
            working.release()
    while watching.locked() and watcher.is_alive():
        time.sleep(0)


def _raise_in(thread: int, error: type[Exception] | None) -> None:
    """Have an exception raised in a thread at its next step; None takes back one that waits."""
    ctypes.pythonapi.PyThreadState_SetAsyncExc(
        ctypes.c_ulong(thread), None if error is None else ctypes.py_object(error)
    )
