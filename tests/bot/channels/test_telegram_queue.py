"""What polling fetched is stored together, and before it is acknowledged."""

import asyncio
from collections.abc import Sequence

import pytest
from telegram import Update
from telegram.error import NetworkError

from bot.channels.telegram_queue import DurableQueue, PollingRequest
from tests.botapi import TOKEN, BotApi


class Shelf:
    """Stores updates, but for those that it refuses."""

    def __init__(self) -> None:
        self.lots: list[list[int]] = []
        self.refused: set[int] = set()
        self.queue = DurableQueue(self.keep)

    async def keep(self, updates: Sequence[Update]) -> Sequence[Update]:
        if self.refused.intersection(update.update_id for update in updates):
            raise NetworkError("could not be stored")
        self.lots.append([update.update_id for update in updates])
        return updates

    async def fetch(self, *numbers: int) -> None:
        for number in numbers:
            await self.queue.put(Update(number))

    def queued(self) -> list[int]:
        found = []
        while not self.queue.empty():
            update = self.queue.get_nowait()
            assert isinstance(update, Update)
            found.append(update.update_id)
        return found


def test_what_was_fetched_together_is_stored_together() -> None:
    async def run() -> None:
        shelf = Shelf()
        await shelf.fetch(1, 2, 3)
        assert shelf.queued() == [], "nothing is handled before it is stored"
        await shelf.queue.store()
        await shelf.queue.store()
        assert shelf.lots == [[1, 2, 3]]
        assert shelf.queued() == [1, 2, 3]

    asyncio.run(run())


def test_what_cannot_be_stored_stops_nothing_before_it_and_is_tried_again() -> None:
    async def run() -> None:
        shelf = Shelf()
        shelf.refused = {2}
        await shelf.fetch(1, 2, 3)
        for _ in range(2):
            with pytest.raises(NetworkError):
                await shelf.queue.store()
        assert shelf.queued() == [1]
        shelf.refused = set()
        await shelf.queue.store()
        assert shelf.queued() == [2, 3]
        assert [number for lot in shelf.lots for number in lot] == [1, 2, 3]

    asyncio.run(run())


def test_nothing_is_asked_for_before_the_last_is_stored(api: BotApi) -> None:
    async def run() -> None:
        shelf = Shelf()
        shelf.refused = {1}
        await shelf.fetch(1)
        polling = PollingRequest(5, lambda _: None, lambda: None, shelf.queue.store)
        await polling.initialize()
        ask = polling.post(f"{api.url}/bot{TOKEN}/getMe")
        with pytest.raises(NetworkError):
            await ask
        assert api.count("getMe") == 0
        shelf.refused = set()
        await polling.post(f"{api.url}/bot{TOKEN}/getMe")
        assert api.count("getMe") == 1
        assert shelf.queued() == [1]
        await polling.shutdown()

    asyncio.run(run())
