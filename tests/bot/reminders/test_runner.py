"""The runner on a real event loop."""

import asyncio
import logging

import pytest

from bot.reminders.runner import Runner

FAST = 0.02


async def until(condition, within_s: float = 5.0) -> None:
    async with asyncio.timeout(within_s):
        while not condition():
            await asyncio.sleep(0.005)


def test_it_ticks_at_once_and_again():
    seen = []

    async def tick() -> None:
        seen.append(asyncio.get_running_loop().time())

    async def play() -> None:
        began = asyncio.get_running_loop().time()
        runner = Runner(tick, interval_s=0.2)
        runner.start()
        await until(lambda: len(seen) == 3)
        await runner.stop()
        assert seen[0] - began < 0.15
        assert seen[2] - seen[0] > 0.3

    asyncio.run(play())


def test_a_failing_tick_is_logged_and_the_next_one_runs(caplog):
    calls = []

    async def tick() -> None:
        calls.append(1)
        if len(calls) == 1:
            raise RuntimeError("the database is away")

    async def play() -> None:
        runner = Runner(tick, interval_s=FAST)
        runner.start()
        await until(lambda: len(calls) >= 3)
        await runner.stop()

    with caplog.at_level(logging.ERROR, logger="bot.reminders.runner"):
        asyncio.run(play())
    (record,) = caplog.records
    assert record.exc_info is not None
    assert "the database is away" in str(record.exc_info[1])


@pytest.mark.parametrize("fails", [False, True])
def test_a_slow_tick_is_never_overlapped(fails):
    now_running, most, ended = 0, 0, 0

    async def tick() -> None:
        nonlocal now_running, most, ended
        now_running += 1
        most = max(most, now_running)
        await asyncio.sleep(5 * FAST)
        now_running -= 1
        ended += 1
        if fails:
            raise RuntimeError

    async def play() -> None:
        runner = Runner(tick, interval_s=FAST)
        runner.start()
        await until(lambda: ended >= 3)
        await runner.stop()

    asyncio.run(play())
    assert most == 1


def test_stop_waits_for_the_tick_that_runs_and_starts_no_other():
    began, ended = [], []

    async def tick() -> None:
        began.append(1)
        await asyncio.sleep(0.1)
        ended.append(1)

    async def play() -> None:
        runner = Runner(tick, interval_s=FAST)
        runner.start()
        await until(lambda: began)
        await runner.stop()
        assert began == ended
        await asyncio.sleep(10 * FAST)
        assert began == ended == [1]
        assert asyncio.all_tasks() == {asyncio.current_task()}

    asyncio.run(play())


def test_stop_without_start_and_twice():
    async def tick() -> None: ...

    async def play() -> None:
        runner = Runner(tick)
        await runner.stop()
        runner.start()
        await runner.stop()
        await runner.stop()

    asyncio.run(play())


def test_it_can_start_again_after_a_stop():
    calls = []

    async def tick() -> None:
        calls.append(1)

    async def play() -> None:
        runner = Runner(tick, interval_s=60)
        for _ in range(2):
            runner.start()
            before = len(calls)
            await until(lambda before=before: len(calls) > before)
            await runner.stop()

    asyncio.run(play())
    assert len(calls) == 2
