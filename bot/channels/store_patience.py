"""Waits for a database that cannot be used: a full disk, another program's lock, a server that restarts."""

import logging
from collections.abc import Awaitable, Callable, Iterator
from functools import partial
from itertools import chain, repeat
from typing import Any, TypeVar

from bot.channels.telegram_threads import Threads
from bot.model.errors import StoreError

T = TypeVar("T")

PAUSES_S = (0.5, 1, 2, 4, 8, 15)
"""Before each new try; the last one goes on."""

_log = logging.getLogger(__name__)


class StorePatience:
    """Calls the bot, again and again while its database cannot be used: then nothing of the call was kept.

    threads: run a plain function off the event loop
    pause: waits, and says whether the bot is shutting down, which ends the waiting with a StoreError
    """

    def __init__(self, threads: Threads, pause: Callable[[float], Awaitable[bool]]) -> None:
        self._threads, self._pause = threads, pause

    async def __call__(self, call: Callable[..., T], /, *args: Any) -> T:
        """Return what `call` returns."""
        return await self._insist(self._threads.run, partial(call, *args))

    async def slowly(self, call: Callable[..., T], /, *args: Any) -> T:
        """Return what a call returns that may take seconds."""
        return await self._insist(self._threads.run_slow, partial(call, *args))

    async def at_length(self, call: Callable[..., T], /, *args: Any) -> T:
        """Return what a call returns that computes for long."""
        return await self._insist(self._threads.run_long, partial(call, *args))

    async def _insist(self, run: Callable[..., Awaitable[T]], call: Callable[[], T]) -> T:
        pauses: Iterator[float] = chain(PAUSES_S, repeat(PAUSES_S[-1]))
        while True:
            try:
                return await run(call)
            except StoreError as error:
                pause_s = next(pauses)
                _log.error("trying again in %g s: %s", pause_s, error)
                if await self._pause(pause_s):
                    raise
