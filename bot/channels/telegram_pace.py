"""Keeps to the messenger's limits before it has to say so: over all chats, and within each.

A request takes one of as many places as there may be requests in a second, and has it for one second. Where
several processes serve one bot they share the places. Reminders leave a third of them free, so that an answer
never waits behind a great many of them.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from typing import Any

from bot.model.errors import StoreError
from bot.model.talker import Talker

_log = logging.getLogger(__name__)

PER_SECOND = 30
_IN_A_ROW = 4
"""So many messages a chat takes at once; after that, one a second."""
_AGAIN_S = 0.03
_MANY_CHATS = 10_000


class Pace:
    """Says when a request may be made; with `per_second` 0, always at once.

    in_thread: runs a plain function off the event loop
    """

    def __init__(self, talker: Talker, in_thread: Callable[..., Awaitable[Any]], per_second: int) -> None:
        self._talker, self._in_thread, self._per_second = talker, in_thread, per_second
        self._mine: set[int] = set()
        self._gone: list[int] = []
        self._giving: asyncio.Task[None] | None = None
        self._gates = {False: asyncio.Lock(), True: asyncio.Lock()}
        self._chats: dict[int, float] = {}

    async def wait(self, chat_id: int, *, reminder: bool) -> None:
        """Return when a request about a chat may be made."""
        if not self._per_second:
            return
        await asyncio.sleep(self._wait_of_chat(chat_id))
        most = self._per_second * 2 // 3 or 1 if reminder else self._per_second
        async with self._gates[reminder]:
            while (place := await self._take(most)) is None:
                await asyncio.sleep(_AGAIN_S)
        self._mine.add(place)
        asyncio.get_running_loop().call_later(1, self._leave, place)

    def _wait_of_chat(self, chat_id: int) -> float:
        now = asyncio.get_running_loop().time()
        if len(self._chats) > _MANY_CHATS:
            self._chats = {chat: free_at for chat, free_at in self._chats.items() if free_at > now}
        free_at = max(self._chats.get(chat_id, now), now) + 1
        self._chats[chat_id] = free_at
        return max(0.0, free_at - now - _IN_A_ROW)

    async def _take(self, most: int) -> int | None:
        if not self._talker.shared:
            return next((place for place in range(1, most + 1) if place not in self._mine), None)
        place: int | None = await self._in_thread(self._talker.take_place, most, frozenset(self._mine))
        return place

    def _leave(self, place: int) -> None:
        if not self._talker.shared:
            self._mine.discard(place)
            return
        self._gone.append(place)
        if self._giving is None or self._giving.done():
            self._giving = asyncio.create_task(self._give_back())

    async def _give_back(self) -> None:
        while self._gone:
            gone, self._gone = self._gone, []
            try:
                await self._in_thread(self._talker.leave_places, gone)
            except StoreError:
                _log.exception("places were not given back; the server takes them with the connection")
            self._mine.difference_update(gone)
