"""What `serve` logs: never tokens or secrets, nor what people wrote."""

import json
import logging
import traceback
from collections.abc import Iterable
from datetime import UTC, datetime
from types import TracebackType
from typing import Literal
from urllib.parse import quote

from bot.metrics import LOGGED
from bot.model.errors import TablenoteError

_Info = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


def set_up_logs(level: str, secrets: Iterable[str | None], form: Literal["text", "json"] = "text") -> None:
    """Log to stderr; libraries at INFO at most, as further down they log whole messages and addresses."""
    handler = logging.StreamHandler()
    handler.setFormatter(DiscreetJson(secrets) if form == "json" else Discreet(secrets))
    handlers = [handler, _Counting()]
    logging.basicConfig(level=max(logging.INFO, logging.getLevelNamesMapping()[level]), handlers=handlers)
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
        return self._hide(super().format(record))

    def _hide(self, line: str) -> str:
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


class DiscreetJson(Discreet):
    """The same as one JSON object a line, for programs that collect logs."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line; secrets are replaced before JSON could write them in another way."""
        told = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "thread": record.threadName,
            "message": self._hide(record.getMessage()),
        }
        if record.exc_info:
            told["error"] = self._hide(self.formatException(record.exc_info))
        return json.dumps(told, ensure_ascii=False)


class _Counting(logging.Handler):
    """Counts the lines of each level, so that errors can be watched."""

    def emit(self, record: logging.LogRecord) -> None:
        LOGGED.labels(record.levelname).inc()
