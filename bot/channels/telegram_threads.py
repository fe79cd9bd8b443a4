"""The threads beside the event loop on which the talker's plain functions run.

What takes long, files and pictures, has threads of its own, so that an answer in words never waits for one.
"""

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

_QUICK, _SLOW = 4, 3


class Threads:
    """Two bounded pools of threads."""

    def __init__(self) -> None:
        self._quick = ThreadPoolExecutor(_QUICK, thread_name_prefix="talk")
        self._slow = ThreadPoolExecutor(_SLOW, thread_name_prefix="slow")

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

    def shutdown(self) -> None:
        """Take no more calls; those that run go on."""
        for pool in (self._quick, self._slow):
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
