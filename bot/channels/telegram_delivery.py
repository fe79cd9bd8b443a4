"""Delivers messages to Telegram chats, in order within each, for as long as a message makes sense.

What certainly did not arrive is tried again with growing pauses, and before each new try the bot is asked
what is now to be said instead (a reminder is worded anew, an old reply no longer sent). A request that was
never answered may have been carried out: it is made again a few times only (better one too many than none).
"""

import asyncio
import logging
import os
from collections import deque
from collections.abc import Awaitable, Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
from itertools import chain, repeat
from typing import TypeVar
from weakref import WeakValueDictionary

from telegram import Bot, Message
from telegram.error import BadRequest, InvalidToken, RetryAfter, TelegramError

from bot import metrics
from bot.channels.store_patience import StorePatience
from bot.channels.telegram_busy import FILES, PICTURE, show_busy
from bot.channels.telegram_pace import Pace
from bot.channels.telegram_patience import (
    PAUSES_S,
    Patience,
    asked_s,
    keeps_order,
    may_have_arrived,
    never_left,
    waits_help,
)
from bot.channels.telegram_requests import Request, plan_change, plan_new
from bot.channels.telegram_threads import Threads
from bot.channels.telegram_updates import find_chat
from bot.language.texts import speaking
from bot.model.errors import StoreError
from bot.model.messages import Outgoing, Picture, PictureSpec
from bot.model.talker import Talker

os.environ.setdefault(
    "PTB_TIMEDELTA", "true"
)  # the library's way to ask for its coming types, without warnings

T = TypeVar("T")

_log = logging.getLogger(__name__)
_BROKEN_AT_START = 5
_AT_ONCE, _LEFT_AT_ONCE = 16, 2
"""Requests at a time, and those of messages that an earlier run left: another crash leaves as many in doubt.
Who waits for better times takes none of these places."""
_STALE_S = 5
"""What waited for so long behind others is looked at anew before it is sent."""
_NOTE_AFTER_S = 0.01
"""Deliveries are noted together, this long after the first of them. A crash repeats at most these."""
_NOTE_AGAIN_S = 5


@dataclass(eq=False)
class _Letter:
    """A message on its way.

    sends: the requests still to be made for it, None before they are known; ref: the id of what was sent last
    changes: it may be no more than a change of an earlier message
    left: an earlier run left it, which counts once it is being sent
    begun: it, or part of it, may have arrived; refused: it is noted in the outbox that it certainly has not
    """

    out: Outgoing
    chat_id: int
    patience: Patience
    looked_at: float
    sends: deque[Request] | None = None
    ref: str = ""
    left: bool = False
    begun: bool = False
    changes: bool = True
    delivered: bool = False
    refused: bool = False


class Delivery:
    """Sends messages of the outbox through a `telegram.Bot` and notes in the outbox what became of each.

    threads: what plain functions run on; stopping: set when the bot shuts down, which ends
    all waiting for better times; what was still waiting stays in the outbox
    on_error: told what a delivery could not deal with; per_second: how many requests at most, 0 for any
    busy: the messages on their way, and those that cannot be dealt with before another start
    """

    def __init__(
        self,
        bot: Bot,
        talker: Talker,
        threads: Threads,
        stopping: asyncio.Event,
        on_error: Callable[[Exception], None],
        per_second: int = 0,
    ) -> None:
        self._bot = bot
        self._talker = talker
        self._threads = threads
        self._in_thread = threads.run
        self._stopping = stopping
        self._on_error = on_error
        self._pace = Pace(talker, threads.run, per_second)
        self.busy: set[int] = set()
        self._drawing = asyncio.Lock()
        self._places, self._left_over = asyncio.Semaphore(_AT_ONCE), asyncio.Semaphore(_LEFT_AT_ONCE)
        self._order: WeakValueDictionary[int, asyncio.Lock] = WeakValueDictionary()
        self._tasks: set[asyncio.Task[None]] = set()
        self._letters: set[_Letter] = set()
        self._patiently = StorePatience(threads, self.pause)
        self._delivered: dict[int, str] = {}
        self._noting = asyncio.Lock()
        self._note_task: asyncio.Task[None] | None = None

    @property
    def is_stopping(self) -> bool:
        """Tell whether the bot is shutting down."""
        return self._stopping.is_set()

    def send_soon(self, out: Outgoing, *, left: bool = False) -> asyncio.Task[None]:
        """Have a message of the outbox delivered after those that the same chat waits for already.

        left: an earlier run left it, so that the bot is asked first whether it still makes sense
        """
        if out.id is not None:
            self.busy.add(out.id)
        task = asyncio.create_task(self._deliver(out, left=left))
        self._tasks.add(task)
        metrics.MESSAGES_WAITING.inc()
        task.add_done_callback(self._end)
        return task

    def _end(self, task: asyncio.Task[None]) -> None:
        self._tasks.discard(task)
        metrics.MESSAGES_WAITING.dec()

    async def noted(self, task: asyncio.Task[None]) -> None:
        """Return once a delivery is over and what became of it is noted."""
        await asyncio.wait({task})
        while self._note_task is not None and not self._note_task.done():
            await asyncio.wait({self._note_task})

    async def finish(self, until: float) -> None:
        """Wait for what is on its way, once the bot shuts down; note what has arrived and what has not.

        until: the event loop's time
        """
        while self._tasks and (left_s := until - asyncio.get_running_loop().time()) > 0:
            await asyncio.wait(set(self._tasks), timeout=left_s)
        kept = [letter.out.id or 0 for letter in self._letters if not letter.begun]
        tasks = list(self._tasks)
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        await self.note_delivered()
        if kept:
            await self._in_thread(self._talker.refused, *kept)

    async def _deliver(self, out: Outgoing, *, left: bool) -> None:
        try:
            await self._insist_on(out, left=left)
        except Exception as error:
            _log.exception("message %s stays in the outbox", out.id)
            self._on_error(error)

    async def _insist_on(self, out: Outgoing, *, left: bool) -> None:
        chat_id = find_chat(out.person)
        if out.id is None or chat_id is None:
            raise ValueError("only a message of the outbox, to a person of this messenger, can be delivered")
        looked_at = float("-inf") if left else asyncio.get_running_loop().time()
        letter = _Letter(out, chat_id, Patience(reminder=out.reminder), looked_at, left=left)
        lock = self._order.setdefault(chat_id, asyncio.Lock())
        self._letters.add(letter)
        while True:
            async with lock:
                pause = await self._try_in_order(letter)
            if pause is None or await self.pause(pause):
                break
        if out.id != letter.out.id:
            self.busy.discard(out.id)
        if not letter.delivered and letter.out.id is not None:
            self.busy.discard(letter.out.id)

    async def _try_in_order(self, letter: _Letter) -> float | None:
        """Try to send a message; return when to try again, after later ones; None when it is over."""
        while await self._still_wanted(letter):
            pause, in_order = await self._try(letter)
            if pause is None or not in_order:
                return pause
            if await self.pause(pause):
                return None
        return None

    async def _still_wanted(self, letter: _Letter) -> bool:
        """Ask the bot, about what has waited, what is to be said by now; False when nothing is."""
        now = asyncio.get_running_loop().time()
        if now - letter.looked_at < _STALE_S:
            return True
        try:
            said: Outgoing | None = await self._in_thread(self._talker.review, letter.out)
        except StoreError:
            _log.exception("message %s could not be looked at anew and goes out as it was", letter.out.id)
            return True
        letter.looked_at = now
        if said is not None and said.id != letter.out.id:
            letter.sends, letter.refused = None, False
            if said.id is not None:
                self.busy.add(said.id)
        letter.out = letter.out if said is None else said
        if said is None:
            self._letters.discard(letter)
        return said is not None

    async def _try(self, letter: _Letter) -> tuple[float | None, bool]:
        """Make the requests of a message; return when to try again, and whether later messages wait, too."""
        key = letter.out.id
        assert key is not None  # only what the outbox has becomes a letter
        try:
            left, ref = letter.left, await self._prepare(letter)
            async with self._left_over if left else nullcontext():
                self._note_later(key, ref or await self._send(letter))
                letter.delivered = True
                if left:
                    await self.note_delivered()
            metrics.DELIVERIES.labels("sent").inc()
            self._letters.discard(letter)
            if ref is None:
                await self._pin(letter)
            return None, True
        except InvalidToken:
            await self._patiently(self._talker.refused, key)
            raise  # nothing can be sent until the bot is started with another token
        except TelegramError as error:
            changing = not letter.sends  # an edit, a mark or a pin does nothing twice
            pause = letter.patience.after(error, repeatable=changing)
            if pause is None:
                self._letters.discard(letter)
            if pause is None and may_have_arrived(error):
                metrics.DELIVERIES.labels("uncertain").inc()
                _log.warning("message %s may or may not have arrived: %s", key, error)
                await self._patiently(self._talker.unsure, key, str(error))
            elif pause is None:
                metrics.DELIVERIES.labels("failed").inc()
                _log.error("message %s cannot be delivered: %s", key, error)
                await self._patiently(self._talker.not_sent, key, str(error))
            else:
                metrics.RETRIES.inc()
                _log.warning("message %s is tried again in %g s: %s", key, pause, error)
                if waits_help(error) and not letter.refused and not letter.begun:
                    letter.refused = True
                    await self._patiently(self._talker.refused, key)
            return pause, pause is None or keeps_order(error, pause)

    def _note_later(self, key: int, ref: str) -> None:
        if not self._delivered:
            self._note_task = asyncio.create_task(self._note_soon())
        self._delivered[key] = ref

    async def note_delivered(self) -> None:
        """Have everything delivered so far noted in the outbox."""
        async with self._noting:
            delivered, self._delivered = self._delivered, {}
            if not delivered:
                return
            try:
                await self._threads.run_hurried(self._talker.sent, delivered)
                self.busy.difference_update(delivered)
            except StoreError:
                _log.exception("what was delivered could not be noted, trying again in %g s", _NOTE_AGAIN_S)
                self._delivered = delivered | self._delivered
                if not self._stopping.is_set():
                    self._note_task = asyncio.create_task(self._note_soon(_NOTE_AGAIN_S))

    async def _note_soon(self, after_s: float | None = None) -> None:
        await self.pause(_NOTE_AFTER_S if after_s is None else after_s)
        await self.note_delivered()

    async def insist(self, call: Callable[[], Awaitable[T]]) -> T:
        """Return what `call` returns, which may safely be carried out twice, trying again where that helps.

        A server that cannot be reached or that asks for patience is waited for as long as it takes, one that
        answers with an error five times.
        """
        pauses: Iterator[float] = chain(PAUSES_S, repeat(PAUSES_S[-1]))
        broken = 0
        while True:
            try:
                return await call()
            except TelegramError as error:
                if not waits_help(error) and not may_have_arrived(error):
                    raise
                pause = next(pauses)
                if isinstance(error, RetryAfter):
                    pause = asked_s(error)
                elif not never_left(error):
                    broken += 1
                    if broken == _BROKEN_AT_START:
                        raise
                _log.warning("trying again in %g s: %s", pause, error)
                if await self.pause(pause):
                    raise

    async def pause(self, seconds: float) -> bool:
        """Wait; True (at once) when the bot is shutting down."""
        try:
            await asyncio.wait_for(self._stopping.wait(), seconds)
        except TimeoutError:
            return False
        return True

    async def _prepare(self, letter: _Letter) -> str | None:
        """Draw and plan a message; return its id where it was no more than a change of an earlier one."""
        if letter.sends is not None:
            return None
        if letter.changes and (changed := await self._change(letter)) is not None:
            return changed
        letter.changes, out = False, letter.out
        spoken = await self._patiently(self._talker.spoken, out.person) if out.drawn else None
        with (
            speaking(*spoken) if spoken else nullcontext()
        ):  # beside pictures more is said than the message holds
            pictures = await self._draw(letter.chat_id, out)
            letter.sends = deque(plan_new(self._bot, letter.chat_id, out, pictures))
        return None

    async def _send(self, letter: _Letter) -> str:
        """Make the requests that are still to be made; return the messenger's id of the message."""
        if letter.left:
            letter.left = False
            await self._patiently(self._talker.sending, letter.out.id)
        while letter.sends:
            await self._pace.wait(letter.chat_id, reminder=letter.out.reminder)
            async with self._places:
                sent = await self._ask(letter, letter.sends[0])
            letter.sends.popleft()
            letter.ref = str((sent if isinstance(sent, Message) else sent[-1]).message_id)
        return letter.ref

    async def _ask(self, letter: _Letter, request: Request) -> Message | tuple[Message, ...]:
        """Make a request that is not to be carried out twice."""
        begun, letter.begun = letter.begun, True
        try:
            return await request()
        except TelegramError as error:
            letter.begun = begun or may_have_arrived(error)
            raise

    async def _change(self, letter: _Letter) -> str | None:
        """Change what is there, where that is all a message is to do and it can be done; return its id."""
        planned = plan_change(self._bot, letter.chat_id, letter.out)
        if planned is None:
            return None
        ref, change = planned
        try:
            await self._pace.wait(letter.chat_id, reminder=letter.out.reminder)
            async with self._places:
                await change()
        except BadRequest as error:
            if "not modified" in error.message.lower():
                return ref
            _log.info("message %s is sent anew, as it cannot change %s: %s", letter.out.id, ref, error)
            return None
        return ref

    async def _draw(self, chat_id: int, out: Outgoing) -> list[Picture]:
        drawn: list[Picture] = []
        for spec in out.drawn:
            manner = FILES.get(spec.kind, PICTURE)
            try:
                drawn.append(await show_busy(self._bot, chat_id, self._draw_one(spec, out.person), **manner))
            except Exception:  # whatever is wrong with the picture, the words must still go out
                _log.exception("picture %s could not be drawn", spec.name)
        return drawn

    async def _draw_one(self, spec: PictureSpec, person: str) -> Picture:
        async with self._drawing:
            picture: Picture = await self._threads.run_slow(self._talker.draw, spec, person)
            return picture

    async def _pin(self, letter: _Letter) -> None:
        """Pin a message that arrived, once that is noted, and unpin an earlier one; what cannot be stays."""
        out, pins = letter.out, []
        if out.unpins is not None:
            pins.append(partial(self._bot.unpin_chat_message, letter.chat_id, int(out.unpins)))
        if out.pinned:
            pin = partial(self._bot.pin_chat_message, letter.chat_id, int(letter.ref))
            pins.append(partial(pin, disable_notification=True))
        for pin in pins:
            try:
                await self.insist(pin)
            except TelegramError as error:
                _log.info("chat %s: message %s is not pinned: %s", letter.chat_id, letter.out.id, error)
