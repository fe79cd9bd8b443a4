"""People who write and wait for their answers, so many at once, and how long each answer took."""

import asyncio
import random
import time
from collections import Counter, defaultdict
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from statistics import quantiles
from typing import Any

from tests.botapi import BotApi, Sent, in_chat
from tests.botapi.wire import Json

NOTES = ("2 slices rye toast with butter", "porridge with 60 g oats", "an apple", "150 g rice with lentils")
MIXED = (
    (60, "note", NOTES),
    (10, "other note", ("walked 20 min", "finger-prick 5.6", "slept 23:10 to 6:20", "espresso")),
    (12, "question", ("which meals were best?", "how was breakfast?", "what is my fasting glucose?")),
    (8, "command", ("/help", "status", "how much longer?")),
    (4, "picture", ("show my day", "show last week")),
    (6, "file", ()),
)
"""Of a hundred messages so many are of a kind."""

_MESSAGE_ID = 10_000_000


class Crowd(BotApi):
    """The loopback server; who wrote can wait for the answer, and nothing grows with what was sent before.

    reached: which chats were sent something, and when, while `remember` is on
    """

    def __init__(self, people: int) -> None:
        super().__init__()
        self.waiting: dict[int, asyncio.Future[float]] = {}
        self.reached: list[tuple[int, float]] = []
        self.remember = False
        self._counts: Counter[str] = Counter()
        self._kept: dict[tuple[int, int], Sent] = {}
        for n in range(people):
            self._chats[n] = "private"

    def count(self, method: str) -> int:
        return self._counts[method]

    async def _answer(self, path: str, headers: dict[str, str], body: bytes) -> bytes | None:
        answer = await super()._answer(path, headers, body)
        method = path.rpartition("/")[2]
        self._counts[method] += 1
        if self.calls and method not in ("getUpdates", "sendChatAction"):
            self._tell(int(self.calls[-1][1].get("chat_id", -1)))
        for message in self.messages:
            message.file = b""
            self._kept[message.chat_id, message.message_id] = message
        self.calls.clear()
        self.messages.clear()
        return answer

    def _tell(self, chat: int) -> None:
        if self.remember:
            self.reached.append((chat, time.time()))
        waiting = self.waiting.pop(chat, None)
        if waiting is not None and not waiting.done():
            waiting.set_result(time.perf_counter())

    def _find_message(self, fields: Json) -> Sent:
        found = self._kept.get((self._find_chat(fields), int(fields.get("message_id", 0))))
        return found or super()._find_message(fields)

    async def _on_deleteMessage(self, fields: Json, _: Json) -> bool:
        gone = self._find_message(fields)
        del self._kept[gone.chat_id, gone.message_id]
        return True

    def _is_there(self, chat_id: int, message_id: int) -> bool:
        return (chat_id, message_id) in self._kept or super()._is_there(chat_id, message_id)


@dataclass
class Measured:
    """What a run of traffic came to: seconds of each kind of message, and messages a second."""

    took: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    per_second: float = 0.0
    unanswered: int = 0

    def centiles(self, *kinds: str) -> tuple[float, float]:
        """Return p50 and p99 of the answers to some kinds, in milliseconds."""
        times = sorted(1000 * one for kind in kinds or tuple(self.took) for one in self.took[kind])
        if len(times) < 2:
            return 0.0, 0.0
        cuts = quantiles(times, n=100, method="inclusive")
        return cuts[49], cuts[98]


Hand = Callable[[Json], Awaitable[None]]
"""Brings an update to the bot."""


async def write(
    api: Crowd, hand: Hand, messages: int, people: int, at_once: int, *, seed: int, mixed: bool
) -> Measured:
    """Have so many people at once write, each the next message when the last one was answered."""
    draw, found, left = random.Random(seed), Measured(), iter(range(messages))
    busy: set[int] = set()

    async def one() -> None:
        for n in left:
            chat = draw.randrange(people)
            while chat in busy:
                chat = draw.randrange(people)
            busy.add(chat)
            kind, content = _draw_message(api, draw, n, mixed=mixed)
            waiting = api.waiting[chat] = asyncio.get_running_loop().create_future()
            began = time.perf_counter()
            await hand({"message": _message(api, chat, content)})
            try:
                found.took[kind].append(await asyncio.wait_for(waiting, 60) - began)
            except TimeoutError:
                found.unanswered += 1
            busy.discard(chat)

    began = time.perf_counter()
    await asyncio.gather(*(one() for _ in range(at_once)))
    found.per_second = messages / (time.perf_counter() - began)
    return found


def _message(api: Crowd, chat: int, content: Json) -> Json:
    message_id = _MESSAGE_ID + api._take_message_id()
    api._theirs[chat].add(message_id)
    return {"message_id": message_id, "date": int(time.time()), **in_chat(chat), **content}


def _draw_message(api: Crowd, draw: random.Random, n: int, *, mixed: bool) -> tuple[str, Json]:
    if not mixed:
        return "note", {"text": NOTES[n % len(NOTES)]}
    _, kind, texts = draw.choices(MIXED, [share for share, _, _ in MIXED])[0]
    if texts:
        return kind, {"text": draw.choice(texts)}
    now = time.time()
    stamps = [time.strftime("%Y-%m-%d %H:%M", time.localtime(now - 900 * k)) for k in range(32)]
    rows = "\n".join(f"{stamp},{5 + draw.random():.2f}" for stamp in stamps)
    name = f"file{n}-{draw.random()}"
    data = f"time,glucose mmol/L\n{rows}".encode()
    api._files[name] = (data, len(data))
    about = {"file_id": name, "file_unique_id": name, "file_name": "r.csv", "file_size": len(data)}
    return kind, {"document": about}


def in_server(api: Crowd, coroutine: Any) -> Any:
    """Run a coroutine on the server's own loop, so that nothing waits between two threads."""
    return asyncio.run_coroutine_threadsafe(coroutine, api._loop).result(timeout=3600)
