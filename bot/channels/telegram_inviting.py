"""Invitations in words, with the messenger's own start link."""

import asyncio
import io
from collections.abc import Callable
from datetime import datetime

import segno
from telegram.error import TelegramError
from telegram.ext import ApplicationBuilder

from bot.channels.telegram_queue import TimedRequest
from bot.model.errors import TablenoteError

_TIMEOUT_S = 15.0


def word_invitation(code: str, name: str) -> str:
    """Return how to take an invitation to the bot of this user name, with a picture for a phone's camera."""
    link = f"https://t.me/{name}?start={code}"
    picture = io.StringIO()
    segno.make(link, micro=False).terminal(out=picture, compact=True)
    return (
        f"To be let in, open {link} or send @{name} this code: {code}\n"
        f"It lets one person in, within 7 days. For a phone's camera:\n{picture.getvalue()}"
    )


def find_name(
    token: str, api_url: str | None, hear_time: Callable[[datetime], None] = lambda said: None
) -> str:
    """Return the bot's user name; TablenoteError when the messenger cannot be asked.

    hear_time: told what time the messenger says it is
    """

    async def ask() -> str:
        builder = ApplicationBuilder().token(token).updater(None).job_queue(None)
        builder = builder.request(TimedRequest(1, _TIMEOUT_S, hear_time))
        if api_url:
            builder = builder.base_url(f"{api_url.rstrip('/')}/bot")
        async with builder.build().bot as bot:
            return str(bot.username)

    try:
        return asyncio.run(ask())
    except TelegramError as error:
        raise TablenoteError(f"The messenger cannot be asked for the bot's name: {error}.") from error
