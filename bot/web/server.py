"""The door's server, on the event loop that is there already."""

import asyncio
import socket
from collections.abc import Generator
from contextlib import contextmanager

import uvicorn
from starlette.applications import Starlette

from bot.errors import BadSetting

_MOST_CONNECTIONS = 100
_FINISH_WITHIN_S = 10


class DoorServer:
    """Serves an application on a port until it is stopped; it takes no signals, which are the channel's."""

    def __init__(self, app: Starlette, host: str, port: int) -> None:
        self._host, self._port = host, port
        self._server = _Server(
            uvicorn.Config(
                app,
                http="h11",
                ws="none",
                lifespan="off",
                log_config=None,
                log_level="warning",
                access_log=False,
                proxy_headers=False,
                server_header=False,
                limit_concurrency=_MOST_CONNECTIONS,
                timeout_graceful_shutdown=_FINISH_WITHIN_S,
            )
        )
        self._serving: asyncio.Task[None] | None = None

    def start(self) -> None:
        """Begin to serve; an address that cannot be had is a BadSetting."""
        family = socket.AF_INET6 if ":" in self._host else socket.AF_INET
        try:
            listening = socket.create_server((self._host, self._port), family=family, backlog=256)
        except OSError as error:
            raise BadSetting(
                f"{self._host} port {self._port} cannot be listened on ({error.strerror}): "
                "set TABLENOTE_HOST or TABLENOTE_PORT to others."
            ) from error
        self._serving = asyncio.create_task(self._server.serve([listening]))

    async def stop(self) -> None:
        """Answer what has come, take no more, and let go of the port."""
        if self._serving is not None:
            self._server.should_exit = True
            await self._serving


class _Server(uvicorn.Server):
    @contextmanager
    def capture_signals(self) -> Generator[None, None, None]:
        yield
