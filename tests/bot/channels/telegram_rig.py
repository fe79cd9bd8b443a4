"""A talker that only remembers, and the Telegram channel running in a thread for a test to talk to."""

import asyncio
import threading
from collections.abc import Awaitable, Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from bot.channels.telegram_channel import TelegramChannel
from bot.language.texts import Language
from bot.language.times import ClockStyle
from bot.model.messages import Incoming, Outgoing, Picture, PictureSpec, Post
from tests.botapi import TOKEN, BotApi

PNG = b"\x89PNG\r\n\x1a\n" + b"pretend"
ME = 7


def say_back(incoming: Incoming) -> list[Outgoing]:
    return [Outgoing(incoming.person, f"noted {incoming.text or incoming.press or incoming.other}")]


class FakeTalker:
    """Keeps inbox and outbox in memory, as the real one does in its database."""

    def __init__(self, answer: Callable[[Incoming], list[Outgoing]] = say_back) -> None:
        self.answer = answer
        self.received: list[Incoming] = []
        self.inbox: dict[str, str] = {}
        self.handled: set[str] = set()
        self.outbox: dict[int, Outgoing] = {}
        self.states: dict[int, str] = {}
        self.refs: dict[int, str] = {}
        self.failures: list[tuple[str, str]] = []
        self.due: list[Outgoing] = []
        self.accept_errors = 0
        self.reviewed: list[Outgoing] = []
        self.answer_review: Callable[[Outgoing], Outgoing | None] = lambda message: message
        self.refusals: list[int] = []
        self.guests: set[str] = set()
        self.known: set[str] = set()
        self.shared = False
        self.speaks: Language = "en"
        self._lock = threading.Lock()

    def put(self, message: Outgoing) -> Outgoing:
        with self._lock:
            stored = replace(message, id=len(self.outbox) + 1)
            self.outbox[len(self.outbox) + 1] = stored
            self.states[len(self.outbox)] = "unsent"
            return stored

    def prepare(self) -> None:
        pass

    def receive(self, incoming: Incoming, *, quick: bool = False) -> list[Outgoing]:
        if incoming.update_id in self.handled:
            return []
        replies = self.answer(incoming)
        self.handled.add(incoming.update_id)
        self.received.append(incoming)
        return [self.put(reply) for reply in replies]

    def tick(self) -> list[Outgoing]:
        due, self.due = self.due, []
        return [self.put(message) for message in due]

    def draw(self, spec: PictureSpec, person: str) -> Picture:
        if spec.name == "broken":
            raise ValueError("nothing to draw")
        return Picture(spec.name, PNG, "a curve")

    def find_poster(self, token: str) -> str | None:
        return f"tg:{ME}" if token == "a-token" else None

    def take_post(self, post: Post) -> tuple[dict[str, object], list[Outgoing]] | None:
        return {"stored": len(post.body)}, [self.put(Outgoing(post.person, "a new curve"))]

    def check(self) -> list[str]:
        return []

    def accept(self, updates: Sequence[tuple[str, str, str]]) -> list[bool]:
        if self.accept_errors:
            self.accept_errors -= 1
            raise OSError("disk full")
        with self._lock:
            known = set(self.inbox)
            self.inbox |= {update_id: raw for update_id, _, raw in updates if update_id not in known}
            return [update_id not in known for update_id, _, _ in updates]

    def invite_first(self) -> str | None:
        return None

    def let_in(self, person: str, code: str) -> bool:
        return False

    def is_in(self, person: str) -> bool:
        return person in self.guests

    def knows(self, person: str) -> bool:
        return person in self.known

    def spoken(self, person: str) -> tuple[Language, ClockStyle]:
        return self.speaks, "24"

    def waiting(self) -> list[tuple[str, str]]:
        return [(key, raw) for key, raw in self.inbox.items() if key not in self.handled]

    def failed(self, update_id: str, error: str, *, harmless: bool = False) -> None:
        self.failures.append((update_id, error))

    def unsent(self) -> list[Outgoing]:
        return [self.outbox[key] for key, state in self.states.items() if state == "unsent"]

    def review(self, message: Outgoing) -> Outgoing | None:
        self.reviewed.append(message)
        return self.answer_review(message)

    def sending(self, id: int) -> None:
        pass

    def refused(self, *ids: int) -> None:
        self.refusals += ids

    def sent(self, refs: Mapping[int, str]) -> None:
        self.states |= dict.fromkeys(refs, "sent")
        self.refs |= refs

    def unsure(self, id: int, why: str) -> None:
        self.states[id] = "unsure"

    def not_sent(self, id: int, why: str) -> None:
        self.states[id] = "not sent"


class HandRunner:
    """Ticks when the test says so."""

    def __init__(self, tick: Callable[[], Awaitable[None]]) -> None:
        self._tick = tick
        self.started = threading.Event()
        self.loop: asyncio.AbstractEventLoop | None = None

    def start(self) -> None:
        self.loop = asyncio.get_running_loop()
        self.started.set()

    async def stop(self) -> None:
        self.started.clear()

    def fire(self) -> None:
        async def once() -> None:
            await self._tick()

        assert self.loop is not None
        asyncio.run_coroutine_threadsafe(once(), self.loop).result(timeout=5)


@contextmanager
def serving(
    api: BotApi,
    talker: FakeTalker,
    *,
    fails: type[Exception] | None = None,
    waits: bool = False,
    **options: Any,
) -> Iterator[HandRunner]:
    """Run the channel against the server until the block ends; it must then have failed as `fails` says.

    waits: it is not expected to begin at once
    """
    loops: list[asyncio.AbstractEventLoop] = []
    runners: list[HandRunner] = []
    failures: list[BaseException] = []

    def make_runner(tick: Callable[[], Awaitable[None]]) -> HandRunner:
        runners.append(HandRunner(tick))
        return runners[-1]

    channel = TelegramChannel(
        talker,
        **{
            "token": TOKEN,
            "api_url": api.url,
            "runner_factory": make_runner,
            "timeout_s": 5,
            "allowed": "open",
            "listen_s": 0,
        }
        | options,
    )

    async def serve() -> None:
        loops.append(asyncio.get_running_loop())
        await channel.serve()

    def run() -> None:
        try:
            asyncio.run(serve())
        except BaseException as error:
            failures.append(error)

    thread = threading.Thread(target=run, name="channel")
    thread.start()
    try:
        while not waits and thread.is_alive() and not runners[0].started.wait(0.01):
            pass
        yield runners[0]
    finally:
        if loops and thread.is_alive():
            loops[0].call_soon_threadsafe(channel.stop)
        thread.join(timeout=10)
    assert not thread.is_alive()
    assert [type(failure) for failure in failures] == ([fails] if fails else []), failures
