"""One token, one bot that fetches updates: a second one waits, says why, and takes over when the first stops.

The messenger ends the long poll of one bot when another begins one, so that two of them would take updates
from each other. A bot that starts listens first, without acknowledging anything: one that is at work comes
back within a second or so and ends that poll, which is how the new one knows.
"""

import asyncio
import logging
import random
from collections import deque
from collections.abc import Awaitable, Callable
from functools import partial

from telegram import Bot
from telegram.error import Conflict

from bot.channels.telegram_delivery import Delivery

_log = logging.getLogger(__name__)
LISTEN_S = 2
"""So long nobody else must have polled. The library comes back one second after its poll was ended."""
AGAIN_S = (30.0, 60.0)
"""From when to when to listen again; drawn by lot, so that two that both wait do not do so together."""
_CONFLICTS, _WITHIN_S = 6, 120
"""So many ended polls are no listening by one that waits."""
WAITS = "another bot fetches updates with this token, so this one waits until that one stops"


class Alone:
    """Tells when this bot may fetch updates.

    on_wait: called when it has to wait
    """

    def __init__(self, bot: Bot, delivery: Delivery, on_wait: Callable[[], None]) -> None:
        self._bot, self._delivery, self._on_wait = bot, delivery, on_wait
        self._waits = False
        self._conflicts: deque[float] = deque(maxlen=_CONFLICTS)

    @property
    def faults(self) -> list[str]:
        """Return why it waits, if it does."""
        return [WAITS] if self._waits else []

    async def wait(self, listen_s: int = LISTEN_S) -> None:
        """Return once nobody else fetches updates, or when the bot is shutting down.

        listen_s: how long to listen, 0 to take for granted that nobody does
        """
        while listen_s and not await self._is_alone(listen_s):
            if not self._waits:
                self._waits = True
                _log.warning("%s; it listens again every minute", WAITS)
                self._on_wait()
            if await self._delivery.pause(random.uniform(*AGAIN_S)):  # noqa: S311  # no secret
                return
        if self._waits:
            _log.warning("nobody else fetches updates with this token any more: this bot takes over")
        self._waits = False
        self._conflicts.clear()

    async def _is_alone(self, listen_s: int) -> bool:
        """Listen for other bots; what waits to be fetched is looked at, and left where it is."""
        now = asyncio.get_running_loop().time
        end, before = now() + listen_s, None
        while (left_s := end - now()) > 0:
            ask: Callable[[], Awaitable[tuple[object, ...]]] = partial(
                self._bot.get_updates, limit=1, timeout=max(1, round(left_s))
            )
            try:
                found = await self._delivery.insist(ask)
            except Conflict as error:
                return "webhook" in error.message.lower()  # an address that polling takes away
            if before and found != before:
                return False  # somebody fetched what was there
            before = before or found
            if found and await self._delivery.pause(min(0.5, left_s)):
                break
        return True

    def is_disturbed(self) -> bool:
        """Count one more poll that another bot ended; True when it goes on, and this one is to wait."""
        now_s = asyncio.get_running_loop().time()
        self._conflicts.append(now_s)
        return len(self._conflicts) == _CONFLICTS and now_s - self._conflicts[0] < _WITHIN_S
