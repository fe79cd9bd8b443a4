"""The threads beside the event loop on which the talker's plain functions run.

What takes long, files, pictures and answers that look through the record, has threads of its own, so that a
note never waits for one; so has the noting of what was delivered, which a crash would repeat until then.
Within Python's one interpreter lock a thread that computes gives way after 5 ms; here after 1 ms, as a note
hands the lock over some fifty times and would wait as often.
"""

import asyncio
import sys
from collections.abc import Awaitable, Callable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

_QUICK, _SLOW, _LONG, _HURRIED = 4, 3, 1, 1
_GIVE_WAY_S = 0.001


class Threads:
    """Four bounded pools of threads."""

    def __init__(self) -> None:
        sys.setswitchinterval(_GIVE_WAY_S)
        self._quick = ThreadPoolExecutor(_QUICK, thread_name_prefix="talk")
        self._slow = ThreadPoolExecutor(_SLOW, thread_name_prefix="slow")
        self._long = ThreadPoolExecutor(_LONG, thread_name_prefix="answer")
        self._hurried = ThreadPoolExecutor(_HURRIED, thread_name_prefix="note")
        self._running: set[Future[Any]] = set()

    @property
    def are_busy(self) -> bool:
        """Tell whether a call has not ended."""
        return any(not call.done() for call in self._running)

    def run(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Awaitable[T]:
        """Call a plain function off the event loop."""
        return self._run_in(self._quick, partial(call, *args, **kwargs))

    def run_slow(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Awaitable[T]:
        """Call one that may take seconds."""
        return self._run_in(self._slow, partial(call, *args, **kwargs))

    def run_long(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Awaitable[T]:
        """Call one that computes for long; such go one after the other."""
        return self._run_in(self._long, partial(call, *args, **kwargs))

    def run_hurried(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Awaitable[T]:
        """Call one that must not wait behind the turns of all chats."""
        return self._run_in(self._hurried, partial(call, *args, **kwargs))

    def shutdown(self) -> None:
        """Take no more calls; those that run go on."""
        for pool in (self._quick, self._slow, self._long, self._hurried):
            pool.shutdown(wait=False, cancel_futures=True)

    def _run_in(self, pool: ThreadPoolExecutor, call: Callable[[], T]) -> Awaitable[T]:
        running = pool.submit(_without_stop, call)
        self._running.add(running)
        running.add_done_callback(self._running.discard)
        return asyncio.wrap_future(running)


def _without_stop(call: Callable[[], T]) -> T:
    """Call; a StopIteration that comes out of it cannot be handed to who awaits, who would wait for ever."""
    try:
        return call()
    except StopIteration as error:
        raise RuntimeError("StopIteration came out of a call") from error
