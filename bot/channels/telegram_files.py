"""Files and photos that people send: which there is, and fetching it from the messenger."""

import logging
from collections.abc import Awaitable, Callable

from telegram import Document, PhotoSize, Update
from telegram.error import BadRequest, TelegramError

from bot.model.messages import Attachment

MAX_DOWNLOAD_BYTES = 20 * 1024 * 1024  # the public Bot API hands out no larger files
MAX_PHOTO_BYTES = 3 * 1024 * 1024
_PAUSES_S = (1, 4)
FETCH_AGAIN_S = (5, 15, 60, 300, 900, *(3600,) * 6)
"""Before each new try of a file that could not be had at once; its person was told."""

_log = logging.getLogger(__name__)


def find_file(update: Update) -> Document | PhotoSize | None:
    """Return what came with a new message: a document, or the largest of a photo's sizes that is not huge.

    An animation, sent as a document, does not count; nor does the photo of an edit, which came before.
    """
    message = update.message or update.edited_message
    if message is None or (message.photo and update.edited_message):
        return None
    if message.photo:
        fitting = [size for size in message.photo if (size.file_size or 0) <= MAX_PHOTO_BYTES]
        return max(fitting or message.photo[:1], key=lambda size: size.width * size.height)
    return None if message.animation else message.document


async def _fetch(document: Document | PhotoSize) -> Attachment | None:
    """Download a file; None when it is too large to be handed over, TelegramError when it fails."""
    if (document.file_size or 0) > MAX_DOWNLOAD_BYTES:
        return None
    try:
        file = await document.get_file()
    except BadRequest as error:
        if "too big" in error.message.lower():
            return None
        raise
    name = document.file_name if isinstance(document, Document) else "photo.jpg"
    return Attachment(name or "file", bytes(await file.download_as_bytearray()))


async def download(
    sent: Document | PhotoSize, pause: Callable[[float], Awaitable[bool]]
) -> Attachment | None:
    """Download a file with patience; None when it is too large, TelegramError when it cannot be had.

    A photo that cannot be had is None, too: its caption must not wait for it.
    pause: waits, and says whether the bot is shutting down
    """
    for pause_s in _PAUSES_S:
        try:
            return await _fetch(sent)
        except TelegramError as error:
            _log.warning("a file could not be fetched, trying again in %g s: %s", pause_s, error)
            if await pause(pause_s):
                break
    try:
        return await _fetch(sent)
    except TelegramError as error:
        if isinstance(sent, Document):
            raise
        _log.warning("a photo could not be fetched, its words go on without it: %s", error)
        return None
