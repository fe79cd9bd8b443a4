"""Each answer of the messenger tells what time it is there."""

import asyncio
from datetime import UTC, datetime, timedelta

from bot.channels.telegram_queue import PollingRequest, TimedRequest
from tests.botapi import TOKEN, BotApi


def test_the_date_of_an_answer_is_heard(api: BotApi) -> None:
    heard: list[datetime] = []

    async def nothing() -> None:
        pass

    async def ask() -> None:
        sending = TimedRequest(1, 5, heard.append)
        polling = PollingRequest(5, heard.append, lambda: None, nothing)
        for request in (sending, polling):
            await request.initialize()
            for method in ("getMe", "noSuchMethod"):
                await request.do_request(f"{api.url}/bot{TOKEN}/{method}", "POST")
            await request.shutdown()

    asyncio.run(ask())
    assert len(heard) == 4
    assert all(abs(said - datetime.now(UTC)) < timedelta(seconds=30) for said in heard)
