"""What the HTTP door asks of the bot: plain functions on threads, and the messages handed to the channel."""

import asyncio
from collections.abc import Awaitable, Callable, Iterable
from typing import Any, Protocol

from bot.model.messages import Outgoing, Post
from bot.model.talker import Talker

CHECK_WITHIN_S = 5.0
"""Workers that have not answered by then are all busy, or stuck."""


class Watched(Protocol):
    """Something beside the bot that can be at fault."""

    @property
    def faults(self) -> list[str]:
        """What is wrong, in words that name nobody."""
        ...


class Desk:
    """The bot as seen from the door.

    in_thread: runs a plain function off the event loop; send: has messages of the outbox delivered soon
    serves: tells whether the channel still serves a person; watched: what else can be at fault
    """

    def __init__(
        self,
        talker: Talker,
        in_thread: Callable[..., Awaitable[Any]],
        send: Callable[[Iterable[Outgoing]], None],
        serves: Callable[[str], Awaitable[bool]],
        *watched: Watched,
    ) -> None:
        self._talker, self._in_thread, self._send, self._serves = talker, in_thread, send, serves
        self._watched = watched

    async def find_poster(self, token: str) -> str | None:
        """Return the person whose token this is, None when it is nobody's or they are not served."""
        person: str | None = await self._in_thread(self._talker.find_poster, token)
        return person if person is not None and await self._serves(person) else None

    async def take_post(self, post: Post) -> dict[str, object] | None:
        """Store posted readings and return the answer, None when the person is not known any more."""
        taken = await self._in_thread(self._talker.take_post, post)
        if taken is None:
            return None
        answer: dict[str, object] = taken[0]
        self._send(taken[1])
        return answer

    async def check(self) -> list[str]:
        """Return what is wrong, in words that name nobody; StoreError when the database cannot be used."""
        faults: list[str] = await asyncio.wait_for(self._in_thread(self._talker.check), CHECK_WITHIN_S)
        return [fault for part in self._watched for fault in part.faults] + faults
