"""Where several processes serve one bot: who deals with a chat, so that its order is kept.

An update is stored by whichever process it reaches. That process then tries to hold the person; where
another one does, it does nothing more, since who holds somebody looks, after letting go, for what was stored
meanwhile. A hold lasts until all that was to be said in the chat is sent and noted. What a process leaves
behind that dies is free at once, and found by a look every few seconds, or with the person's next message.
So nobody is told of anything: a notification can be missed, and the looks would be needed all the same.
"""

import asyncio
import logging
from collections import Counter
from collections.abc import AsyncIterator, Awaitable, Callable, Collection
from contextlib import asynccontextmanager
from functools import partial
from typing import Any
from weakref import WeakValueDictionary

from bot.channels.together import Together
from bot.model.errors import StoreError
from bot.model.messages import Outgoing
from bot.model.talker import Left, Talker

_log = logging.getLogger(__name__)
LOOK_S = 2.0
_MUCH = 32
_CALM_S, _CALM_LOOKS = 5.0, 200


class Holding:
    """Holds people for as long as this process has something to do for them.

    in_thread: runs a plain function off the event loop
    handle: handles a stored update, and has its answers sent; send: has messages sent that waited,
        and that an earlier run may have begun to send
    busy: the messages that are on their way, or that cannot be sent
    """

    def __init__(
        self,
        talker: Talker,
        in_thread: Callable[..., Awaitable[Any]],
        handle: Callable[[str], Awaitable[None]],
        send: Callable[[list[Outgoing], bool], Awaitable[None]],
        busy: Collection[int],
        stopping: asyncio.Event,
    ) -> None:
        self._talker, self._in_thread, self._busy = talker, in_thread, busy
        self._handle, self._send = handle, send
        self._stopping = stopping
        self._hold, self._let_go = Together(self._hold_all), Together(self._leave_all)
        self._left = {starting: Together(partial(self._look_for, starting)) for starting in (False, True)}
        self._tending: WeakValueDictionary[str, asyncio.Lock] = WeakValueDictionary()
        self._uses: Counter[str] = Counter()
        self._asking: WeakValueDictionary[str, asyncio.Lock] = WeakValueDictionary()
        self._tasks: set[asyncio.Task[None]] = set()

    async def recover(self) -> None:
        """Do, person by person, what earlier runs left and nobody else is at; then go on looking for it."""
        for person in await self._in_thread(self._talker.whose_left, starting=True):
            if not self._stopping.is_set():
                await self.tend(person, starting=True)
        self._soon(self._look())

    async def tend(self, person: str, *, starting: bool = False) -> None:
        """Do what waits for a person, unless another process is at it, which then looks once it is done."""
        async with self._tending.setdefault(person, asyncio.Lock()), self._holding(person) as held:
            if not held:
                return
            left = await self._left[starting].ask(person)
            await self._send(left.begun, True)
            await self._send(left.messages, False)
            for _, raw in left.updates:
                if not self._stopping.is_set():
                    await self._handle(raw)

    @asynccontextmanager
    async def _holding(self, person: str) -> AsyncIterator[bool]:
        """Hold a person for the block, if nobody else does."""
        asking = self._asking.setdefault(person, asyncio.Lock())
        async with asking:
            held = bool(self._uses[person]) or await self._hold.ask(person)
            self._uses[person] += held
        try:
            yield held
        finally:
            if held:
                await self._leave(person)

    def keep_until(self, person: str, done: Awaitable[object]) -> None:
        """Go on holding a person who is held until something is done."""
        self._uses[person] += 1
        self._soon(self._leave_after(person, done))

    def tend_soon(self, person: str) -> None:
        """Have done what waits for a person."""
        self._soon(self.tend(person))

    async def _look(self) -> None:
        """Do, person by person, what others left, again and again until the bot stops."""
        while not self._stopping.is_set():
            try:
                for person in await self._in_thread(self._talker.whose_left, starting=False):
                    if not self._uses[person] and not self._stopping.is_set():
                        await self.tend(person)
            except StoreError:
                _log.exception("what others left could not be looked for, trying again in %g s", LOOK_S)
            try:
                await asyncio.wait_for(self._stopping.wait(), LOOK_S)
            except TimeoutError:
                continue

    async def calm(self) -> None:
        """Return once little is on its way, or after a while: it may be waiting for better times."""
        for _ in range(_CALM_LOOKS):
            if len(self._busy) + len(self._tasks) < _MUCH or self._stopping.is_set():
                return
            await asyncio.sleep(_CALM_S / _CALM_LOOKS)

    async def finish(self) -> None:
        """Wait for what is going on, once the bot stops."""
        while self._tasks:
            await asyncio.gather(*self._tasks, return_exceptions=True)

    async def _leave_after(self, person: str, done: Awaitable[object]) -> None:
        try:
            await done
        finally:
            await self._leave(person)

    async def _leave(self, person: str) -> None:
        async with self._asking.setdefault(person, asyncio.Lock()):
            self._uses[person] -= 1
            if self._uses[person]:
                return
            del self._uses[person]
            waits = await self._let_go.ask(person)
        if waits and not self._stopping.is_set():
            self.tend_soon(person)

    # Many are taken, looked up and left at once when the clock brings much due: together, or each would cost
    # some ten statements beside those of its message.

    async def _hold_all(self, people: list[str]) -> dict[str, bool]:
        held = await self._in_thread(self._talker.hold, people)
        return {person: person in held for person in people}

    async def _look_for(self, starting: bool, people: list[str]) -> dict[str, Left]:
        found: dict[str, Left] = await self._in_thread(
            self._talker.left_for, people, frozenset(self._busy), starting=starting
        )
        return found

    async def _leave_all(self, people: list[str]) -> dict[str, bool]:
        waits = await self._in_thread(self._talker.let_go, people, frozenset(self._busy))
        return {person: person in waits for person in people}

    def _soon(self, work: Awaitable[None]) -> None:
        async def logged() -> None:
            try:
                await work
            except StoreError:
                _log.exception("what waits for somebody is looked for again in %g s", LOOK_S)

        task = asyncio.create_task(logged())
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
