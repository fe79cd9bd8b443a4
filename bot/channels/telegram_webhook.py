"""Updates that Telegram pushes to the bot's HTTP door."""

import hmac
import json
from collections.abc import Awaitable, Callable, Mapping
from http import HTTPStatus
from urllib.parse import unquote, urlsplit

from telegram import Bot, Update
from telegram.error import NetworkError

from bot.channels.telegram_legible import legible

_SECRET = "x-telegram-bot-api-secret-token"


class Webhook:
    """Takes pushed updates (`bot.web.door.Hook`).

    url: the address that Telegram is given; secret: what each update must carry
    put: stores an update and queues it; what it cannot store is a NetworkError
    """

    def __init__(self, url: str, secret: str, bot: Bot, put: Callable[[Update], Awaitable[None]]) -> None:
        self.path = unquote(urlsplit(url).path) or "/"
        self._secret, self._bot, self._put = secret.encode(), bot, put

    def admits(self, headers: Mapping[str, str]) -> bool:
        """Tell whether a request carries the secret."""
        return hmac.compare_digest(headers.get(_SECRET, "").encode(), self._secret)

    async def receive(self, body: bytes) -> int:
        """Store one update and then answer 200; any other answer has it pushed again."""
        try:
            raw = legible(json.loads(body))
        except ValueError:
            return HTTPStatus.BAD_REQUEST
        if raw is None:
            return HTTPStatus.BAD_REQUEST
        try:
            await self._put(Update.de_json(raw, self._bot))
        except NetworkError:  # logged where it was raised
            return HTTPStatus.INTERNAL_SERVER_ERROR
        return HTTPStatus.OK
