"""What makes the clock tick; the only home of APScheduler."""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from datetime import UTC

from apscheduler.schedulers.asyncio import AsyncIOScheduler

from bot.model.clock import SystemClock

_log = logging.getLogger(__name__)
_JOB = "tick"


class Runner:
    """Calls `tick` at once and then every `interval_s` seconds, never two at a time.

    What is due is in the database, so a tick that comes late or fails loses nothing: its error is logged and
    the next tick comes all the same.
    """

    def __init__(self, tick: Callable[[], Awaitable[None]], interval_s: float = 20.0) -> None:
        self._tick, self._interval_s = tick, interval_s
        self._scheduler: AsyncIOScheduler | None = None
        self._ticking = asyncio.Lock()

    def start(self) -> None:
        """Begin to tick; to be called inside the running event loop."""
        self._scheduler = AsyncIOScheduler(timezone=UTC)
        self._scheduler.add_job(
            self._run,
            "interval",
            seconds=self._interval_s,
            next_run_time=SystemClock().now(),
            id=_JOB,
            replace_existing=True,
            max_instances=1,
            coalesce=True,
            misfire_grace_time=None,
        )
        self._scheduler.start()

    async def stop(self) -> None:
        """Let the tick that is running end, and begin no other."""
        scheduler, self._scheduler = self._scheduler, None
        if scheduler is None:
            return
        scheduler.remove_job(_JOB)
        async with self._ticking:
            scheduler.shutdown()
        while scheduler.running:  # it shuts down in a later turn of the loop
            await asyncio.sleep(0)

    async def _run(self) -> None:
        async with self._ticking:
            try:
                await self._tick()
            except Exception:  # whatever went wrong in one tick must not end all reminders
                _log.exception("A tick failed; the next one comes in %g s", self._interval_s)
