"""One person who floods takes no turns from the others, counted in turns; nor does one who asks much."""

import asyncio
import threading

from telegram import Chat, Message, Update

from bot.channels.telegram_queue import ChatOrder
from bot.channels.telegram_threads import Threads

FLOODER, OTHERS, PLACES = 1, range(2, 8), 16


def _update(chat: int, n: int) -> Update:
    return Update(n, Message(n, None, Chat(chat, "private"), text="an apple"))  # type: ignore[arg-type]


def test_a_flood_of_one_lets_every_other_be_next() -> None:
    """Before each of the others at most one turn of who sent 200 messages first is handled."""
    turns: list[int] = []

    async def turn(chat: int) -> None:
        await asyncio.sleep(0)
        turns.append(chat)

    async def flood() -> None:
        order = ChatOrder(PLACES)
        chats = [FLOODER] * 200 + [*OTHERS]
        await asyncio.gather(
            *(order.do_process_update(_update(chat, n), turn(chat)) for n, chat in enumerate(chats))
        )

    asyncio.run(flood())
    last = max(turns.index(chat) for chat in OTHERS)
    assert turns[: last + 1].count(FLOODER) <= len(OTHERS)


def test_answers_that_take_long_take_none_of_the_threads_of_notes() -> None:
    async def ask() -> int:
        threads, let_go = Threads(), threading.Event()
        asked = [asyncio.ensure_future(threads.run_long(let_go.wait, 30)) for _ in range(50)]
        try:
            noted = await asyncio.wait_for(asyncio.gather(*(threads.run(int) for _ in range(100))), 10)
            assert not any(one.done() for one in asked)
            return len(noted)
        finally:
            let_go.set()
            await asyncio.gather(*asked)
            threads.shutdown()

    assert asyncio.run(ask()) == 100
