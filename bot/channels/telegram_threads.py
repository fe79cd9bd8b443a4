"""The threads beside the event loop on which the talker's plain functions run.

What takes long, files and pictures, has threads of its own, so that an answer in words never waits for one.
"""

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

_QUICK, _SLOW = 4, 3


class Threads:
    """Two bounded pools of threads."""

    def __init__(self) -> None:
        self._quick = ThreadPoolExecutor(_QUICK, thread_name_prefix="talk")
        self._slow = ThreadPoolExecutor(_SLOW, thread_name_prefix="slow")

    def run(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Awaitable[T]:
        """Call a plain function off the event loop."""
        return _run_in(self._quick, partial(call, *args, **kwargs))

    def run_slow(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Awaitable[T]:
        """Call one that may take seconds."""
        return _run_in(self._slow, partial(call, *args, **kwargs))

    def shutdown(self) -> None:
        """Let what runs end, and take no more."""
        self._quick.shutdown()
        self._slow.shutdown()


def _run_in(pool: ThreadPoolExecutor, call: Callable[[], T]) -> Awaitable[T]:
    return asyncio.get_running_loop().run_in_executor(pool, _without_stop, call)


def _without_stop(call: Callable[[], T]) -> T:
    """Call; a StopIteration that comes out of it cannot be handed to who awaits, who would wait for ever."""
    try:
        return call()
    except StopIteration as error:
        raise RuntimeError("StopIteration came out of a call") from error
