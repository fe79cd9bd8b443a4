"""Sentences of the channel itself, which are in no outbox, in the language of whom they are for."""

import logging
from collections.abc import Awaitable, Callable
from typing import Any

from telegram import Bot
from telegram.error import TelegramError

from bot.channels.telegram_updates import name_person
from bot.language.texts import Language, say, speaking
from bot.language.times import ClockStyle
from bot.model.talker import Talker

_log = logging.getLogger(__name__)


class Telling:
    """Says them.

    in_thread: runs a plain function off the event loop
    """

    def __init__(self, bot: Bot, talker: Talker, in_thread: Callable[..., Awaitable[Any]]) -> None:
        self._bot, self._talker, self._in_thread = bot, talker, in_thread

    async def spoken(self, chat_id: int) -> tuple[Language, ClockStyle]:
        """Return how the person of a chat is spoken to."""
        spoken: tuple[Language, ClockStyle] = await self._in_thread(self._talker.spoken, name_person(chat_id))
        return spoken

    async def say(self, chat_id: int, text: str, **values: object) -> None:
        """Send a text of the catalogues, once; a failure is only logged."""
        with speaking(*await self.spoken(chat_id)):
            said = say(text, **values)
        try:
            await self._bot.send_message(chat_id, said)
        except TelegramError as error:
            _log.warning("chat %s was not told %r: %s", chat_id, text, error)
