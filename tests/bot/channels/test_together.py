"""Calls made for many at once: each is answered, none waits for company, a failure reaches all it was for."""

import asyncio

import pytest

from bot.channels.together import Together


def test_who_asks_while_a_call_runs_is_asked_for_together() -> None:
    calls: list[list[str]] = []

    async def call(keys: list[str]) -> dict[str, str]:
        calls.append(keys)
        await asyncio.sleep(0.01)
        return {key: key.upper() for key in keys}

    async def ask() -> list[str]:
        together = Together(call)
        first = asyncio.create_task(together.ask("a"))
        await asyncio.sleep(0.001)
        return [*await asyncio.gather(*(together.ask(key) for key in "bcdb")), await first]

    assert asyncio.run(ask()) == ["B", "C", "D", "B", "A"]
    assert calls == [["a"], ["b", "c", "d"]]


def test_a_failure_is_that_of_its_call_only() -> None:
    async def call(keys: list[str]) -> dict[str, int]:
        if "bad" in keys:
            raise OSError("cut")
        return dict.fromkeys(keys, 1)

    async def ask() -> None:
        together = Together(call)
        with pytest.raises(OSError, match="cut"):
            await together.ask("bad")
        assert await together.ask("good") == 1

    asyncio.run(ask())


def test_who_gives_up_leaves_the_others_their_answer() -> None:
    async def call(keys: list[str]) -> dict[str, int]:
        await asyncio.sleep(0.01)
        return dict.fromkeys(keys, 1)

    async def ask() -> int:
        together = Together(call)
        gone, stays = (asyncio.create_task(together.ask("a")) for _ in range(2))
        await asyncio.sleep(0.001)
        gone.cancel()
        return await stays

    assert asyncio.run(ask()) == 1
