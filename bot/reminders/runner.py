"""What makes the clock tick inside `serve`."""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from contextlib import suppress

_log = logging.getLogger(__name__)


class Runner:
    """Calls `tick` at once and then every `interval_s` seconds, never two at a time.

    What is due is in the database, so a tick that comes late or fails loses nothing: its error is logged and
    the next tick comes all the same. The interval is the event loop's, whose time nobody sets: one that went
    by the machine's clock would stand still for as long as that is set back.
    """

    def __init__(self, tick: Callable[[], Awaitable[None]], interval_s: float = 20.0) -> None:
        self._tick, self._interval_s = tick, interval_s
        self._running: asyncio.Task[None] | None = None
        self._stopped = asyncio.Event()

    def start(self) -> None:
        """Begin to tick; to be called inside the running event loop."""
        self._stopped = asyncio.Event()
        self._running = asyncio.create_task(self._run(self._stopped))

    async def stop(self) -> None:
        """Let the tick that is running end, and begin no other."""
        running, self._running = self._running, None
        if running is not None:
            self._stopped.set()
            await asyncio.wait({running})  # who cannot wait for it does not cut it off

    async def _run(self, stopped: asyncio.Event) -> None:
        loop = asyncio.get_running_loop()
        while not stopped.is_set():
            next_at = loop.time() + self._interval_s
            try:
                await self._tick()
            except Exception:  # whatever went wrong in one tick must not end all reminders
                _log.exception("A tick failed; the next one comes in %g s", self._interval_s)
            with suppress(TimeoutError):
                await asyncio.wait_for(stopped.wait(), max(0.0, next_at - loop.time()))
