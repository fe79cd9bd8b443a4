"""Figures of the bot's work for Prometheus, for whom the settings let see them."""

import hmac
from collections.abc import Awaitable, Callable
from ipaddress import ip_address

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from bot.metrics import CONTENT_TYPE, write_metrics
from bot.model.settings import LOCAL

_NO_TOKEN = "Send the token of TABLENOTE_METRICS as “Authorization: Bearer ...”."
_PASSED_ON = ("forwarded", "x-forwarded-", "x-real-ip", "via", "cf-", "true-client-ip", "x-client-ip")
"""How headers of a proxy begin: on this machine it asks from here, whoever it asks for."""
_HERE = ("localhost", "127.0.0.1", "::1")
"""What this machine calls itself; by another name a page in its browser may ask for somebody elsewhere."""


def show_metrics(metrics_for: str) -> Callable[[Request], Awaitable[Response]]:
    """Return what answers for them: to this machine alone ("local"), or to who brings the token."""

    async def show(request: Request) -> Response:
        if metrics_for == LOCAL:
            if not _is_near(request):
                raise HTTPException(404)
        elif not hmac.compare_digest(_token_of(request), metrics_for.encode()):
            raise HTTPException(401, _NO_TOKEN, {"WWW-Authenticate": "Bearer"})
        return Response(write_metrics(), headers={"Content-Type": CONTENT_TYPE, "Cache-Control": "no-store"})

    return show


def _is_near(request: Request) -> bool:
    passed_on = any(name.startswith(_PASSED_ON) for name in request.headers)
    by_name = request.url.hostname in _HERE
    near = request.client is not None and ip_address(request.client.host).is_loopback
    return near and by_name and not passed_on


def _token_of(request: Request) -> bytes:
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    return token.strip().encode("latin-1") if scheme.lower() == "bearer" else b""
