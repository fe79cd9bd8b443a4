"""Delivers messages to Telegram chats: what is certain not to have arrived is tried again, nothing else.

A request that was never answered may still have been carried out, so a reply is then not sent again
(better one reply missing than two) and a reminder once more.
"""

import asyncio
import logging
import os
from collections.abc import Awaitable, Callable, Iterator
from datetime import timedelta
from functools import partial
from itertools import chain, repeat
from typing import Any, TypeVar

from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup, Message
from telegram.constants import MessageLimit
from telegram.error import BadRequest, InvalidToken, NetworkError, RetryAfter, TelegramError

from bot.channels.telegram_updates import find_chat
from bot.model.messages import IN_WORDS, Button, Outgoing
from bot.model.talker import Talker

os.environ.setdefault(
    "PTB_TIMEDELTA", "true"
)  # the library's way to ask for its coming types, without warnings

T = TypeVar("T")
RunInThread = Callable[..., Awaitable[Any]]

_log = logging.getLogger(__name__)
_PAUSES_S = (1, 2, 4, 8, 16)
_LONGEST_PAUSE_S = 30
_NEVER_LEFT = {"ConnectError", "ConnectTimeout", "PoolTimeout"}  # the HTTP client's names
_NOTE_AFTER_S = 0.02
"""Deliveries are noted together, this long after the first of them. A crash repeats at most these."""
_NO_PICTURE = "(The picture could not be drawn this time.)"


class Delivery:
    """Sends messages of the outbox through a `telegram.Bot` and notes in the outbox what became of each.

    in_thread: runs a plain function off the event loop; stopping: set when the bot shuts down, which ends
    all waiting for better times; what was still waiting stays in the outbox
    """

    def __init__(self, bot: Bot, talker: Talker, in_thread: RunInThread, stopping: asyncio.Event) -> None:
        self._bot = bot
        self._talker = talker
        self._in_thread = in_thread
        self._stopping = stopping
        self._drawing = asyncio.Lock()
        self._delivered: dict[int, str] = {}
        self._noting = asyncio.Lock()
        self._note_task: asyncio.Task[None] | None = None

    async def deliver(self, out: Outgoing) -> None:
        """Send one message of the outbox and note the outcome there, at the latest a moment later."""
        if out.id is None:
            raise ValueError("only a message of the outbox can be delivered")
        for is_last in (False, True) if out.reminder else (True,):
            try:
                ref = await self._send(out)
            except InvalidToken:
                raise  # nothing can be sent until the bot is started with another token
            except TelegramError as error:
                if may_have_arrived(error):
                    _log.warning("message %s may or may not have arrived: %s", out.id, error)
                    if not is_last:
                        continue
                    await self._in_thread(self._talker.unsure, out.id, str(error))
                elif self._stopping.is_set() and waits_help(error):
                    _log.info("message %s is left in the outbox: %s", out.id, error)
                else:
                    _log.error("message %s cannot be delivered: %s", out.id, error)
                    await self._in_thread(self._talker.not_sent, out.id, str(error))
            else:
                if not self._delivered:
                    self._note_task = asyncio.create_task(self._note_soon())
                self._delivered[out.id] = ref
            return

    async def note_delivered(self) -> None:
        """Have everything delivered so far noted in the outbox."""
        async with self._noting:
            delivered, self._delivered = self._delivered, {}
            if delivered:
                await self._in_thread(self._talker.sent, delivered)

    async def _note_soon(self) -> None:
        await self.pause(_NOTE_AFTER_S)
        await self.note_delivered()

    async def say(self, chat_id: int, text: str) -> None:
        """Send a sentence that is in no outbox, once; a failure is only logged."""
        try:
            await self._bot.send_message(chat_id, text)
        except TelegramError as error:
            _log.warning("chat %s was not told %r: %s", chat_id, text, error)

    async def insist(self, call: Callable[[], Awaitable[T]], *, repeatable: bool = False) -> T:
        """Return what `call` returns, trying again where that cannot do anything twice.

        A server that cannot be reached or that asks for patience is waited for as long as it takes, one that
        answers with an error five times. `repeatable`: the call may safely be carried out twice.
        """
        pauses: Iterator[float] = chain(_PAUSES_S, repeat(_LONGEST_PAUSE_S))
        broken = 0
        while True:
            try:
                return await call()
            except TelegramError as error:
                if not waits_help(error) and not (repeatable and may_have_arrived(error)):
                    raise
                pause = next(pauses)
                if isinstance(error, RetryAfter):
                    asked = error.retry_after
                    pause = asked.total_seconds() if isinstance(asked, timedelta) else asked
                elif not never_left(error):
                    broken += 1
                    if broken == len(_PAUSES_S):
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

    async def _send(self, out: Outgoing) -> str:
        chat_id = find_chat(out.person)
        if chat_id is None:
            raise ValueError(f"{out.person} is not a person of this messenger")
        keys = lay_out((*out.buttons, *_offer_words(out)))
        if out.replaces and not out.picture and not out.document and await self._edit(chat_id, out, keys):
            return out.replaces
        *others, last = await self._plan(chat_id, out)
        for send in others:
            await self.insist(send)
        message = await self.insist(partial(last, reply_markup=keys))
        return str(message.message_id)

    async def _plan(self, chat_id: int, out: Outgoing) -> list[Callable[..., Awaitable[Message]]]:
        sends: list[Callable[..., Awaitable[Message]]] = []
        text = out.shown
        if out.picture:
            try:
                async with self._drawing:
                    picture = await self._in_thread(self._talker.draw, out.picture, out.person)
            except Exception:  # whatever is wrong with the picture, the words must still go out
                _log.exception("picture %s could not be drawn", out.picture.name)
                text = f"{text}\n\n{_NO_PICTURE}".strip()
            else:
                if out.picture.in_words:
                    return [
                        partial(self._bot.send_message, chat_id, part)
                        for part in split_text(f"{text}\n{picture.alt}".strip())
                    ]
                send = self._bot.send_document if picture.page else self._bot.send_photo
                sends.append(partial(send, chat_id, picture.page or picture.png, filename=out.picture.file))
        if out.document:
            name, data = out.document.name, out.document.data
            sends.append(partial(self._bot.send_document, chat_id, data, filename=name))
        caption = split_text(text, MessageLimit.CAPTION_LENGTH)
        if sends and len(caption) == 1:
            sends[0] = partial(sends[0], caption=caption[0])
        else:
            sends += [partial(self._bot.send_message, chat_id, part) for part in split_text(text)]
        return sends

    async def _edit(self, chat_id: int, out: Outgoing, keys: InlineKeyboardMarkup | None) -> bool:
        text, *more = split_text(out.shown)
        if more or out.replaces is None:
            return False
        edit = partial(self._bot.edit_message_text, text, chat_id, int(out.replaces), reply_markup=keys)
        try:
            await self.insist(edit, repeatable=True)
        except BadRequest as error:
            if "not modified" in error.message.lower():
                return True
            _log.info("message %s is sent anew, as it cannot replace %s: %s", out.id, out.replaces, error)
            return False
        return True


def _offer_words(out: Outgoing) -> tuple[Button, ...]:
    """Offer what a picture shows in words: a messenger has no place for them beside it."""
    if out.picture is None or out.picture.kind == "report" or out.picture.in_words or out.id is None:
        return ()
    return (Button("In words", f"{IN_WORDS}:{out.id}"),)


def never_left(error: TelegramError) -> bool:
    """Tell whether the request was not even sent."""
    return isinstance(error, NetworkError) and type(error.__cause__).__name__ in _NEVER_LEFT


def may_have_arrived(error: TelegramError) -> bool:
    """Tell whether the request was sent but its answer never came.

    The library raises such an error from the HTTP client's; an error that the server answered with has no
    cause, or that of an unreadable answer.
    """
    answered = error.__cause__ is None or isinstance(error.__cause__, TelegramError)
    return isinstance(error, NetworkError) and not answered and not never_left(error)


def waits_help(error: TelegramError) -> bool:
    """Tell whether the request was certainly not carried out, and may be if it is sent again later."""
    if isinstance(error, NetworkError):
        return not isinstance(error, BadRequest) and not may_have_arrived(error)
    return isinstance(error, RetryAfter)


def lay_out(buttons: tuple[Button, ...]) -> InlineKeyboardMarkup | None:
    """Return the buttons, two in a row."""
    keys = [InlineKeyboardButton(button.label, callback_data=button.data) for button in buttons]
    return InlineKeyboardMarkup([keys[i : i + 2] for i in range(0, len(keys), 2)]) if keys else None


def split_text(text: str, limit: int = MessageLimit.MAX_TEXT_LENGTH) -> list[str]:
    """Cut a text into parts of at most `limit` characters, at line ends where there are any.

    Characters are counted as UTF-16 units, the messenger's own measure for positions in a text: never fewer
    than the true characters, so that no part is too long however the limit is counted.
    """
    rest = text.encode("utf-16-le", "replace").decode("utf-16-le")  # half a character alone cannot be sent
    parts: list[str] = []
    while len(units := rest.encode("utf-16-le")) > 2 * limit:
        head = units[: 2 * limit].decode("utf-16-le", "ignore")
        head = head[: head.rfind("\n") + 1] or head
        parts.append(head)
        rest = rest[len(head) :]
    return [part for part in (*parts, rest) if part.strip()] or [rest]
