"""The door's server, on the event loop that is there already."""

import asyncio
import os
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
        try:
            listening = _listen(self._host, self._port)
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


def _listen(host: str, port: int) -> socket.socket:
    # The event loop sends small answers at once only where the socket names its protocol (else 40 ms each).
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if os.name == "posix":  # elsewhere this would let two programs have one port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(256)
    except BaseException:
        listening.close()
        raise
    return listening


class _Server(uvicorn.Server):
    @contextmanager
    def capture_signals(self) -> Generator[None, None, None]:
        yield
