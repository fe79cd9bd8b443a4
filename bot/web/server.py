"""The door's server, on the event loop that is there already."""

import asyncio
import os
import socket
from collections.abc import Generator
from contextlib import contextmanager

import uvicorn
from starlette.applications import Starlette
from uvicorn.protocols.http.h11_impl import H11Protocol

from bot.model.errors import BadSetting

_MOST_CONNECTIONS = 100
_MOST_IDLE = 50
"""Connections that ask nothing; beyond, the one that has been idle longest gives way to who comes."""
_FINISH_WITHIN_S = 2
HEADERS_WITHIN_S = 10.0
"""A connection that has not said what it wants by then is closed, or a hundred silent ones would fill all."""


class DoorServer:
    """Serves an application on a port until it is stopped; it takes no signals, which are the channel's."""

    def __init__(self, app: Starlette, host: str, port: int) -> None:
        self._host, self._port = host, port
        self._server = _Server(
            uvicorn.Config(
                app,
                http=_Protocol,
                ws="none",
                lifespan="off",
                log_config=None,
                log_level="error",  # below, any stranger could fill the log with what is no HTTP
                access_log=False,
                proxy_headers=False,
                server_header=False,
                limit_concurrency=_MOST_CONNECTIONS,
                timeout_graceful_shutdown=_FINISH_WITHIN_S,
            )
        )
        self._serving: asyncio.Task[None] | None = None

    @property
    def is_open(self) -> bool:
        """Tell whether it has begun to serve."""
        return self._serving is not None

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


class _Protocol(H11Protocol):
    """HTTP/1.1 that gives up on a connection whose next request does not come to its body in time."""

    _deadline: asyncio.TimerHandle | None = None
    _idle_since = 0.0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        self._idle_since = self.loop.time()
        self._make_room()
        super().connection_made(transport)
        self._deadline = self.loop.call_later(HEADERS_WITHIN_S, transport.close)

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._forget_deadline()
        elif self._deadline is None and not self.transport.is_closing():
            self._deadline = self.loop.call_later(HEADERS_WITHIN_S, self.transport.close)

    def on_response_complete(self) -> None:
        self._idle_since = self.loop.time()
        super().on_response_complete()

    def _make_room(self) -> None:
        """Close what was idle longest, so that renewing silent connections shuts out nobody who asks."""
        idle = [other for other in self.connections if isinstance(other, _Protocol) and other.is_idle]
        if len(idle) >= _MOST_IDLE:
            min(idle, key=lambda other: other._idle_since).transport.abort()

    @property
    def is_idle(self) -> bool:
        """Tell whether no request of it is being answered."""
        closing = self.transport.is_closing()
        return not closing and (self.cycle is None or self.cycle.response_complete)

    def connection_lost(self, exc: Exception | None) -> None:
        self._forget_deadline()
        super().connection_lost(exc)

    def _forget_deadline(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None


class _Server(uvicorn.Server):
    @contextmanager
    def capture_signals(self) -> Generator[None, None, None]:
        yield
