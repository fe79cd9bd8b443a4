"""Whom the messenger channel serves: a person in their own chat who was named, or took an invitation."""

import logging
from collections.abc import Awaitable, Callable
from typing import Any

from telegram import Update

from bot.channels.telegram_inviting import word_invitation
from bot.channels.telegram_updates import (
    PRIVATE,
    asks_to_erase,
    find_chat,
    find_code,
    name_person,
    refuse_place,
)
from bot.model.settings import Allowed
from bot.model.talker import Talker

_log = logging.getLogger(__name__)


class Entrance:
    """Tells who is let in.

    in_thread: runs a plain function off the event loop
    allowed: the chats to serve beside who took an invitation, or "open" for everyone
    """

    def __init__(self, talker: Talker, in_thread: Callable[..., Awaitable[Any]], allowed: Allowed) -> None:
        self._talker, self._in_thread, self._allowed = talker, in_thread, allowed

    async def announce(self, bot_name: str, show: Callable[[str], None]) -> None:
        """Say at a start that everybody is let in, or show an invitation while nobody is."""
        if self._allowed == "open":
            _log.warning("TABLENOTE_ALLOWED=open: everybody who finds this bot may talk to it")
        elif not self._allowed:
            code = await self._in_thread(self._talker.invite_first)
            if code is not None:
                show(f"Nobody may talk to this bot yet. {word_invitation(code, bot_name)}")

    async def serves(self, person: str) -> bool:
        """Tell whether a person is let in; one of another channel is not this channel's business."""
        if self._allowed == "open" or find_chat(person) in {*self._allowed, None}:
            return True
        is_in: bool = await self._in_thread(self._talker.is_in, person)
        return is_in

    async def refusal(self, update: Update) -> str | None:
        """Return the text for whom this bot does not serve; deleting what it holds is open to all.

        Its {number} is the chat's.
        """
        chat, refusal = update.effective_chat, refuse_place(update)
        if refusal or chat is None or await self.serves(name_person(chat.id)):
            return refusal
        may_erase = asks_to_erase(update) and await self._in_thread(self._talker.knows, name_person(chat.id))
        return None if may_erase else PRIVATE

    async def takes_invitation(self, update: Update) -> bool:
        """Let somebody in who brings a code in their own chat; False when it is no code, or not valid."""
        chat, code = update.effective_chat, find_code(update)
        if chat is None or code is None or refuse_place(update):
            return False
        taken: bool = await self._in_thread(self._talker.let_in, name_person(chat.id), code)
        return taken
