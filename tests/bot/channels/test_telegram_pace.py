"""The limits of the messenger, kept to before it has to say so."""

import asyncio

from bot.channels.telegram_pace import Pace
from bot.channels.telegram_threads import Threads
from tests.bot.channels.telegram_rig import FakeTalker


def times_of(pace: Pace, chats: list[int], *, reminder: bool = False) -> list[float]:
    """Return after how many seconds each of many requests, all wanted at once, may be made."""

    async def one(chat: int, began: float) -> float:
        await pace.wait(chat, reminder=reminder)
        return asyncio.get_running_loop().time() - began

    async def everything() -> list[float]:
        began = asyncio.get_running_loop().time()
        return sorted(await asyncio.gather(*(one(chat, began) for chat in chats)))

    return asyncio.run(everything())


def paced(per_second: int) -> Pace:
    return Pace(FakeTalker(), Threads().run, per_second)


def test_no_second_has_more_than_its_share() -> None:
    times = times_of(paced(10), list(range(25)))
    assert all(times[n + 10] - times[n] >= 0.99 for n in range(15))
    assert times[9] < 0.5
    assert times[-1] < 3


def test_one_chat_gets_a_few_at_once_and_then_one_a_second() -> None:
    times = times_of(paced(1000), [1] * 6)
    assert times[3] < 0.5
    assert times[5] - times[3] > 1.9


def test_reminders_leave_room_for_answers() -> None:
    async def both() -> float:
        pace = paced(9)
        late = [asyncio.create_task(pace.wait(n, reminder=True)) for n in range(30)]
        await asyncio.sleep(0.1)
        began = asyncio.get_running_loop().time()
        await pace.wait(99, reminder=False)
        waited = asyncio.get_running_loop().time() - began
        assert sum(task.done() for task in late) == 6
        for task in late:
            task.cancel()
        await asyncio.gather(*late, return_exceptions=True)
        return waited

    assert asyncio.run(both()) < 0.1


def test_no_limit() -> None:
    assert times_of(paced(0), [1] * 200)[-1] < 0.5
