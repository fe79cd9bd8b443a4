"""Shows that the bot is busy: “typing” after a second, then a line that goes again with the answer."""

import asyncio
import logging
from collections.abc import Awaitable
from typing import TypedDict, TypeVar

from telegram import Bot, Message
from telegram.constants import ChatAction
from telegram.error import TelegramError

from bot.language.texts import later, say
from bot.model.messages import PictureKind

T = TypeVar("T")

READING = later("I'm reading your file …")
READING_ON = later("I'm still reading your file, {seconds} s so far …")
REPORTING = later("I'm making your report …")
REPORTING_ON = later("I'm still making your report, {seconds} s so far …")
Line = tuple[str, str]
"""What is said of a long job at first, and from then on."""
READING_FILE: Line = (READING, READING_ON)
MAKING_REPORT: Line = (REPORTING, REPORTING_ON)
PACKING: Line = (
    later("I'm packing what I hold about you …"),
    later("I'm still packing what I hold about you, {seconds} s so far …"),
)


class BusyWith(TypedDict):
    """How work is shown: the line about it, and the action of the messenger."""

    line: Line | None
    action: ChatAction


PICTURE: BusyWith = {"line": None, "action": ChatAction.UPLOAD_PHOTO}
FILES: dict[PictureKind, BusyWith] = {
    "report": {"line": MAKING_REPORT, "action": ChatAction.UPLOAD_DOCUMENT},
    "everything": {"line": PACKING, "action": ChatAction.UPLOAD_DOCUMENT},
}
"""How drawing a picture is shown, and making what is a file."""

_TYPING_AFTER_S = 1
_LINE_AFTER_S = 2
_AGAIN_S = 4
"""The messenger shows an action for five seconds."""
_log = logging.getLogger(__name__)


async def show_busy(
    bot: Bot,
    chat_id: int,
    work: Awaitable[T],
    *,
    line: Line | None = None,
    action: ChatAction = ChatAction.TYPING,
) -> T:
    """Return what some work comes to, showing meanwhile that the bot is at it.

    line: of a job that may take long, what is said of it; without, only the action is shown
    """
    job = asyncio.ensure_future(work)
    now = asyncio.get_running_loop().time
    begun, shown = now(), None
    pauses = [_TYPING_AFTER_S, _LINE_AFTER_S - _TYPING_AFTER_S]
    try:
        while not (await asyncio.wait({job}, timeout=pauses.pop(0) if pauses else _AGAIN_S))[0]:
            try:
                await bot.send_chat_action(chat_id, action)
                if line is not None and not pauses:
                    shown = await _say(bot, chat_id, line, now() - begun, shown)
            except TelegramError as error:
                _log.info("chat %s does not see that the bot is busy: %s", chat_id, error)
    finally:
        if shown is not None:
            await _take_away(shown)
    return job.result()


async def _say(bot: Bot, chat_id: int, line: Line, seconds: float, shown: Message | None) -> Message:
    if shown is None:
        return await bot.send_message(chat_id, say(line[0]), disable_notification=True)
    await shown.edit_text(say(line[1], seconds=round(seconds)))
    return shown


async def _take_away(shown: Message) -> None:
    try:
        await shown.delete()
    except TelegramError as error:
        _log.info("a line about what is being done stays in chat %s: %s", shown.chat_id, error)
