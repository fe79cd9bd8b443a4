"""What an update comes to before it is acknowledged: refused, let in by an invitation, or stored."""

import logging
from collections.abc import Awaitable, Callable, Coroutine, Sequence
from typing import Any

from telegram import Bot, CallbackQuery, Update
from telegram.error import NetworkError, TelegramError

from bot import metrics
from bot.channels.telegram_entrance import Entrance
from bot.channels.telegram_files import find_file
from bot.channels.telegram_limits import Limits
from bot.channels.telegram_telling import Telling
from bot.channels.telegram_updates import kind_of, name_person, name_update, says_something, without_code
from bot.model.talker import Talker

_log = logging.getLogger(__name__)


class Reception:
    """Stores what is to be handled.

    in_thread: runs a plain function off the event loop; telling: says what is refused
    begin: has something done meanwhile; limits: how much one person may send
    """

    def __init__(
        self,
        bot: Bot,
        talker: Talker,
        in_thread: Callable[..., Awaitable[Any]],
        entrance: Entrance,
        telling: Telling,
        begin: Callable[[Coroutine[Any, Any, None]], object],
        limits: Limits,
    ) -> None:
        self._bot, self._talker, self._in_thread, self._entrance = bot, talker, in_thread, entrance
        self._telling, self._begin, self._limits = telling, begin, limits
        self._refused: set[tuple[int, str]] = set()

    async def keep(self, updates: Sequence[Update]) -> list[Update]:
        """Store updates in one transaction; return those that are to be handled.

        NetworkError: they could not be stored, and must not be acknowledged.
        """
        try:
            admitted = [one for update in updates if (one := await self._admit(update)) is not None]
            rows = [(name_update(update), person, update.to_json()) for update, person in admitted]
            new = await self._in_thread(self._talker.accept, rows) if rows else []
        except Exception as error:
            # Only a Telegram error makes the library go on; any other ends its polling.
            numbers = ", ".join(str(update.update_id) for update in updates)
            _log.exception("updates could not be stored: %s", numbers)
            raise NetworkError(f"updates could not be stored: {numbers}") from error
        kept = [update for (update, _), is_new in zip(admitted, new, strict=True) if is_new]
        for update in kept:
            metrics.UPDATES.labels(kind_of(update)).inc()
        return kept

    async def _admit(self, update: Update) -> tuple[Update, str] | None:
        """Return an update as it is to be stored, and its person; None where there is nothing to do."""
        chat = update.effective_chat
        if chat is None or not says_something(update):
            return None
        if update.callback_query:
            self._begin(self._acknowledge(update.callback_query))
        person = name_person(chat.id)
        too_much = self._limits.refusal(person, file=find_file(update) is not None)
        if too_much:
            if self._limits.is_news(person, too_much):
                _log.warning("chat %s sends more than it may", chat.id)
                self._begin(self._telling.say(chat.id, too_much))
            return None
        refusal = await self._entrance.refusal(update)
        if refusal and await self._entrance.takes_invitation(update):
            return without_code(update, self._bot), person
        if refusal:
            self._refuse(chat.id, refusal)
            return None
        return update, person

    def _refuse(self, chat_id: int, refusal: str) -> None:
        if (chat_id, refusal) not in self._refused:
            self._refused.add((chat_id, refusal))
            self._begin(self._telling.say(chat_id, refusal, number=chat_id))

    async def _acknowledge(self, query: CallbackQuery) -> None:
        try:
            await query.answer()
        except TelegramError as error:
            _log.info("a press could not be acknowledged: %s", error)
