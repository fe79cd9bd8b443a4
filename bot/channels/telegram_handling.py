"""One stored update: its file fetched, the talker asked, and what broke told."""

import logging
from collections.abc import Callable
from functools import partial

from telegram import Bot, Update
from telegram.error import BadRequest, TelegramError

from bot.channels.store_patience import StorePatience
from bot.channels.telegram_busy import READING_FILE, show_busy
from bot.channels.telegram_delivery import Delivery
from bot.channels.telegram_files import FETCH_AGAIN_S, download, find_file
from bot.channels.telegram_telling import Telling
from bot.channels.telegram_updates import name_update, read_update
from bot.language.texts import later, speaking
from bot.model.clock import Clock
from bot.model.errors import StoreError
from bot.model.messages import Attachment, Incoming, Outgoing
from bot.model.talker import TakesLong, Talker
from bot.reply.fixed import BROKEN_KEPT

_log = logging.getLogger(__name__)
_FILE_LATE = later("I couldn't fetch your file from the messenger yet. I'll keep trying.")
_FILE_LOST = later("I couldn't fetch your file from the messenger. Please send it once more.")


class Handling:
    """Has updates handled by the talker.

    patiently: calls the talker, waiting while its database cannot be used
    handle_later: takes an update whose file cannot be had yet; its person has been told
    """

    def __init__(
        self,
        bot: Bot,
        talker: Talker,
        patiently: StorePatience,
        delivery: Delivery,
        telling: Telling,
        clock: Clock,
        handle_later: Callable[[Update], None],
    ) -> None:
        self._bot, self._talker, self._patiently, self._telling = bot, talker, patiently, telling
        self._delivery, self._clock, self._handle_later = delivery, clock, handle_later

    async def reply_to(self, update: Update) -> list[Outgoing]:
        """Handle one stored update; return what is to be sent."""
        chat, sent = update.effective_chat, find_file(update)
        if chat is None:
            raise ValueError(f"update {update.update_id} is of no chat")
        try:
            file = await download(sent, self._delivery.pause) if sent else None
        except TelegramError as error:
            if self._delivery.is_stopping:
                return []  # it waits in the inbox for the next start
            comes = not isinstance(error, BadRequest)
            await self._note_failed(update, error, harmless=comes)
            await self._telling.say(chat.id, _FILE_LATE if comes else _FILE_LOST)
            if comes:
                self._handle_later(update)
            return []
        return await self.answer(update, chat.id, file)

    async def fetch_late(self, update: Update, chat_id: int) -> Attachment | None:
        """Return a file once it can be had, None when it cannot, or when the bot is shutting down."""
        sent = find_file(update)
        for pause_s in FETCH_AGAIN_S:
            if sent is None or await self._delivery.pause(pause_s):
                return None
            try:
                return await download(sent, self._delivery.pause)
            except BadRequest:
                break
            except TelegramError as error:
                _log.warning("the file of update %s cannot be fetched yet: %s", update.update_id, error)
        await self._telling.say(chat_id, _FILE_LOST)
        return None

    async def answer(self, update: Update, chat_id: int, file: Attachment | None) -> list[Outgoing]:
        """Have an update handled whose file is there."""
        try:
            incoming = read_update(update, self._clock.now(), file)
            if incoming.reply_to:  # what it answers is found by the messenger's id
                await self._delivery.note_delivered()
            if not incoming.file:
                return await show_busy(self._bot, chat_id, self._receive(incoming))
            with speaking(*await self._telling.spoken(chat_id)):
                return await show_busy(self._bot, chat_id, self._receive(incoming), line=READING_FILE)
        except StoreError as error:  # the bot is shutting down: it waits in the inbox for the next start
            _log.error("update %s is left for the next start: %s", update.update_id, error)
            return []
        except Exception as error:  # the update stays stored and is tried again; the person is told
            _log.exception("update %s could not be handled", update.update_id)
            await self._note_failed(update, error, harmless=False)
            await self._telling.say(chat_id, BROKEN_KEPT)
            return []

    async def _receive(self, incoming: Incoming) -> list[Outgoing]:
        if incoming.file:
            return await self._patiently.slowly(self._talker.receive, incoming)
        try:
            return await self._patiently(partial(self._talker.receive, incoming, quick=True))
        except TakesLong:
            return await self._patiently.at_length(self._talker.receive, incoming)

    async def _note_failed(self, update: Update, error: Exception, *, harmless: bool) -> None:
        note = partial(self._talker.failed, name_update(update), repr(error), harmless=harmless)
        await self._patiently(note)
