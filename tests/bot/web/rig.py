"""The HTTP door before the whole bot, served on the loopback interface by a thread."""

import asyncio
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from functools import partial
from typing import Any

import httpx

from bot.model.messages import Outgoing
from bot.web.buckets import Buckets
from bot.web.desk import Desk
from bot.web.door import Hook, build_door
from bot.web.server import DoorServer
from tests.talk import Talk, talking

ROW_AT = "2026-03-02T{:%H:%M}:00+01:00,{}"


class Door:
    """A client of the door with a token of the talk's person; `sent` is what went to their chat."""

    def __init__(self, talk: Talk, url: str, token: str) -> None:
        self.talk, self.url, self.token = talk, url, token
        self.sent: list[Outgoing] = []
        self.served = True
        self.client = httpx.Client(base_url=url, timeout=20)

    def post(self, body: bytes | str, **headers: str) -> httpx.Response:
        given = {"Authorization": f"Bearer {self.token}"}
        given |= {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.post("/readings", content=body, headers=given)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def make_token(talk: Talk) -> str:
    talk.say("/token")
    return talk.heard[-1].once.split()[0]


@contextmanager
def open_door(url: str = "sqlite://", *, burst: int = 60, hook: Hook | None = None) -> Iterator[Door]:
    with talking(url) as talk:
        port = free_port()
        door = Door(talk, f"http://127.0.0.1:{port}", make_token(talk))
        loop = asyncio.new_event_loop()

        async def in_thread(call: Any, *args: Any) -> Any:
            return await loop.run_in_executor(None, partial(call, *args))

        async def serves(_: str) -> bool:
            return door.served

        desk = Desk(talk.app, in_thread, door.sent.extend, serves)
        server = DoorServer(
            build_door(desk, Buckets(burst, now_s=lambda: talk.clock.now().timestamp()), hook),
            "127.0.0.1",
            port,
        )
        thread = threading.Thread(target=loop.run_forever, name="door")
        thread.start()

        async def start() -> None:
            server.start()

        try:
            asyncio.run_coroutine_threadsafe(start(), loop).result(timeout=5)
            with door.client:
                yield door
        finally:
            asyncio.run_coroutine_threadsafe(server.stop(), loop).result(timeout=20)
            asyncio.run_coroutine_threadsafe(loop.shutdown_default_executor(), loop).result(timeout=5)
            loop.call_soon_threadsafe(loop.stop)
            thread.join()
            loop.close()


def csv_of(start: datetime, values: list[float], step_min: int = 5) -> str:
    rows = [f"{(start + timedelta(minutes=step_min * i)).isoformat()},{v:.1f}" for i, v in enumerate(values)]
    return "\n".join(["time,glucose mmol/L", *rows])


def count(door: Door) -> int:
    with door.talk.app.store.read() as tx:
        return tx.readings.count("local")
