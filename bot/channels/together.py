"""Calls that many ask for at the same time, made for all of them at once."""

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from typing import Generic, TypeVar

T = TypeVar("T")


class Together(Generic[T]):
    """Makes a call for a key, together with those that were asked for while the call before it ran.

    call: takes keys, each once, and gives what each comes to
    Who asks alone does not wait for others; many at once cost hardly more than one.
    """

    def __init__(self, call: Callable[[list[str]], Awaitable[Mapping[str, T]]]) -> None:
        self._call = call
        self._asked: dict[str, asyncio.Future[T]] = {}
        self._running: asyncio.Task[None] | None = None

    async def ask(self, key: str) -> T:
        """Return what the call gives for a key; what it raises is raised to all that it was made for."""
        answer = self._asked.get(key)
        if answer is None:
            answer = self._asked[key] = asyncio.get_running_loop().create_future()
        if self._running is None or self._running.done():
            self._running = asyncio.create_task(self._run())
        return await asyncio.shield(answer)  # who asks no longer leaves the others theirs

    async def _run(self) -> None:
        while self._asked:
            asked, self._asked = self._asked, {}
            try:
                given = await self._call(list(asked))
            except Exception as error:
                for answer in asked.values():
                    answer.set_exception(error)
            else:
                for key, answer in asked.items():
                    answer.set_result(given[key])
