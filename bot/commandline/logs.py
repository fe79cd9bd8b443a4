"""What `serve` logs: never tokens or secrets, nor what people wrote."""

import logging
import traceback
from collections.abc import Iterable
from types import TracebackType
from urllib.parse import quote

from bot.model.errors import TablenoteError

_Info = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


def set_up_logs(level: str, secrets: Iterable[str | None]) -> None:
    """Log to stderr; libraries at INFO at most, as further down they log whole messages and addresses."""
    handler = logging.StreamHandler()
    handler.setFormatter(Discreet(secrets))
    logging.basicConfig(level=max(logging.INFO, logging.getLevelNamesMapping()[level]), handlers=[handler])
    logging.getLogger("bot").setLevel(level)
    logging.getLogger("httpx").setLevel(logging.WARNING)  # it logs each request with the token in its URL


class Discreet(logging.Formatter):
    """Writes no secret, and of an error where it came from and its kind: its words may be somebody's note."""

    def __init__(self, secrets: Iterable[str | None]) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")
        known = [secret for secret in secrets if secret]
        self._secrets = [*known, *(quote(secret, safe="") for secret in known)]

    def format(self, record: logging.LogRecord) -> str:
        """Return the line, each secret in it replaced."""
        line = super().format(record)
        for secret in self._secrets:
            line = line.replace(secret, "***")
        return line

    def formatException(self, ei: _Info) -> str:
        """Return where an error came from, and what caused it."""
        error = ei[1]
        parts: list[str] = []
        while error is not None and len(parts) < 10:
            told = f": {error}" if isinstance(error, OSError | TablenoteError) else ""
            where = "".join(traceback.format_tb(error.__traceback__))
            parts.append(f"{where}{type(error).__name__}{told}")
            error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
        return "\ncaused by:\n".join(parts)
