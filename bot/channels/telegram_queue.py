"""How updates come and wait: stored before they are acknowledged, handled in order within each chat."""

import asyncio
import json
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from http import HTTPStatus
from typing import Any
from weakref import WeakValueDictionary

from telegram import Update
from telegram.error import NetworkError
from telegram.ext import BaseUpdateProcessor
from telegram.request import HTTPXRequest

from bot import metrics
from bot.channels.telegram_legible import legible
from bot.model.errors import BadSetting


class TimedRequest(HTTPXRequest):
    """Connections to the messenger; tells `hear_time` what time each of its answers says it is."""

    def __init__(self, size: int, timeout_s: float, hear_time: Callable[[datetime], None]) -> None:
        async def hear(answer: Any) -> None:
            with suppress(ValueError):  # none, or no date: then the clock is as good as before
                said = parsedate_to_datetime(answer.headers.get("date", ""))
                hear_time(said if said.tzinfo else said.replace(tzinfo=UTC))

        hooks = {"event_hooks": {"response": [hear]}}
        super().__init__(size, timeout_s, timeout_s, timeout_s, timeout_s, httpx_kwargs=hooks)


class PollingRequest(TimedRequest):
    """The connection for fetching updates; tells `on_refusal` when the token is no longer accepted.

    before: awaited before each request, which is not made when it raises

    The library then ends its polling without a word to anybody, while the process goes on. Where it cannot
    read one update, it logs all that came with it, texts included, and asks for the same ones again for ever:
    so what cannot be read is emptied before the library sees it.
    """

    def __init__(
        self,
        timeout_s: float,
        hear_time: Callable[[datetime], None],
        on_refusal: Callable[[], None],
        before: Callable[[], Awaitable[None]],
    ) -> None:
        super().__init__(1, timeout_s, hear_time)
        self._on_refusal, self._before = on_refusal, before

    async def do_request(self, *args: Any, **kwargs: Any) -> tuple[int, bytes]:
        """Make one request."""
        await self._before()
        code, payload = await super().do_request(*args, **kwargs)
        if code in (HTTPStatus.UNAUTHORIZED, HTTPStatus.NOT_FOUND):
            self._on_refusal()
        return code, without_unreadable(payload) if code == HTTPStatus.OK else payload


def without_unreadable(payload: bytes) -> bytes:
    """Return an answer to getUpdates in which each update that cannot be read is only its number."""
    try:
        answer = json.loads(payload)
    except ValueError:  # no answer of the messenger; the library says so and asks again
        return payload
    updates = answer.get("result") if isinstance(answer, dict) else None
    if not updates or not isinstance(updates, list):
        return payload
    known = [raw for raw in map(legible, updates) if raw is not None]
    return payload if known == updates else json.dumps(answer | {"result": known}).encode()


class DurableQueue(asyncio.Queue[object]):
    """The library's update queue, into which an update comes only once it is stored.

    What polling fetched is stored together by `store`, which the connection for fetching calls before it asks
    for the next updates: asking is what acknowledges those before. What is pushed is stored by `take`, whose
    return is what acknowledges it. `keep` stores updates and returns those that enter the queue: not those
    known already, or of no interest. `put_nowait` takes what is stored already.
    """

    def __init__(self, keep: Callable[[Sequence[Update]], Awaitable[Sequence[Update]]]) -> None:
        super().__init__()
        self._keep = keep
        self._fetched: list[Update] = []

    async def put(self, item: object) -> None:
        """Take what polling fetched."""
        if isinstance(item, Update):
            self._fetched.append(item)
        else:
            self._enter(item)

    async def store(self) -> None:
        """Store all that was fetched, and queue it; NetworkError where something could not be stored."""
        fetched = list(self._fetched)
        try:
            if fetched:
                await self.take(*fetched)
        except NetworkError:
            if len(fetched) == 1:
                raise
            for update in fetched:  # one alone may be to blame
                await self.take(update)
                self._fetched.remove(update)
        else:
            del self._fetched[: len(fetched)]

    async def take(self, *updates: Update) -> None:
        """Store updates, in one transaction, and queue them."""
        for update in await self._keep(updates):
            self._enter(update)

    def _enter(self, item: object) -> None:
        metrics.UPDATES_WAITING.inc()
        self.put_nowait(item)


class ChatOrder(BaseUpdateProcessor):
    """Handles the updates of one chat one after the other, and those of at most `at_once` chats together.

    Waiting for one's own chat takes none of the places, so that one busy chat cannot hold up the others.
    """

    def __init__(self, at_once: int) -> None:
        super().__init__(max_concurrent_updates=1_000_000)  # the places below are what counts
        self._places = asyncio.Semaphore(at_once)
        self._locks: WeakValueDictionary[int, asyncio.Lock] = WeakValueDictionary()

    def turn_of(self, chat_id: int) -> asyncio.Lock:
        """Return the lock that whoever deals with this chat must hold."""
        return self._locks.setdefault(chat_id, asyncio.Lock())

    async def do_process_update(self, update: object, coroutine: Awaitable[object]) -> None:
        """Await `coroutine` when it is this update's turn."""
        chat = update.effective_chat if isinstance(update, Update) else None
        try:
            async with self.turn_of(chat.id if chat else 0), self._places:
                await coroutine
        finally:
            metrics.UPDATES_WAITING.dec()

    async def initialize(self) -> None:
        """Nothing has to be prepared."""

    async def shutdown(self) -> None:
        """Nothing has to be cleared away."""


def bad_token() -> BadSetting:
    """Return the error for a token that the messenger refuses."""
    return BadSetting("The messenger does not know this token. Check TABLENOTE_TOKEN.")
