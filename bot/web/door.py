"""The HTTP application: what can be asked for at which path, and how it is answered."""

import asyncio
import logging
import math
import re
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager
from http import HTTPStatus
from typing import Any, Protocol, TypedDict
from weakref import WeakValueDictionary

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from bot.model.errors import AskFile, BadFile, BadSetting, StoreError
from bot.model.messages import Post
from bot.model.units import GlucoseUnit, find_unit
from bot.web.body import read_body
from bot.web.buckets import Buckets
from bot.web.desk import Desk
from bot.web.metrics import show_metrics
from bot.web.openapi import DESCRIPTION, MAX_BYTES

_log = logging.getLogger(__name__)
TURN_WITHIN_S = 60.0
_MAX_PUSH_BYTES = 1_000_000
_PATHS = ("/readings", "/health", "/openapi.json", "/metrics")
_KEY = re.compile(r"[!-~]{1,200}")
_LONGEST_NAME = 200
_NO_TOKEN = "Send your token as “Authorization: Bearer ...”; /token in the chat makes one."
_NO_FORM = "Send the readings themselves as the body, not a form that holds them."
_CODINGS = {"", "identity", "gzip", "x-gzip"}  # a gzip archive is known by its first bytes, declared or not
_NO_CODING = "The body can be packed by gzip or not at all; send it like that."
_NOT_HERE = "There is nothing here; readings go to POST /readings."
_BROKEN = "Something went wrong on this side; send it again later."


class Hook(Protocol):
    """Where a messenger pushes its updates."""

    @property
    def path(self) -> str:
        """The path of the address it was given."""
        ...

    def admits(self, headers: Mapping[str, str]) -> bool:
        """Tell whether a request is the messenger's, before its body is read."""
        ...

    async def receive(self, body: bytes) -> int:
        """Take one update and return the HTTP status that answers it."""
        ...


def build_door(desk: Desk, buckets: Buckets, hook: Hook | None = None, metrics_for: str = "") -> Starlette:
    """Build the application; a hook on a path that is ours is a BadSetting.

    metrics_for: who may read the metrics: nobody, "local", or who brings this token
    """
    door = _Door(desk, buckets)
    routes = [
        Route("/readings", door.post_readings, methods=["POST"]),
        Route("/health", door.show_health, methods=["GET"]),
        Route("/openapi.json", _show_description, methods=["GET"]),
    ]
    if metrics_for:
        routes.append(Route("/metrics", show_metrics(metrics_for), methods=["GET"]))
    if hook is not None:
        if hook.path in _PATHS:
            raise BadSetting(f"TABLENOTE_WEBHOOK_URL needs another path: {hook.path} is taken.")
        routes.append(Route(hook.path, _pusher(hook), methods=["POST"]))
    app = Starlette(
        routes=routes,
        exception_handlers={
            HTTPException: _explain,
            BadFile: _explain_file,
            StoreError: _explain_store,
            ClientDisconnect: _note_gone,
            Exception: _explain_fault,
        },
    )
    app.router.redirect_slashes = False
    return app


class _Door:
    def __init__(self, desk: Desk, buckets: Buckets) -> None:
        self._desk, self._buckets = desk, buckets
        self._turns: WeakValueDictionary[str, asyncio.Lock] = WeakValueDictionary()

    async def post_readings(self, request: Request) -> Response:
        person = await self._find_person(request)
        wait_s = self._buckets.take(person)
        if wait_s:
            raise HTTPException(
                429, "That is too many posts at once; wait a little.", {"Retry-After": str(math.ceil(wait_s))}
            )
        told, key = _read_query(request), _read_key(request)
        async with self._turn_of(person):
            body = await read_body(request, MAX_BYTES)
            answer = await self._desk.take_post(Post(person, body, key=key, **told))
        if answer is None:
            raise _unknown()
        return JSONResponse(answer)

    @asynccontextmanager
    async def _turn_of(self, person: str) -> AsyncIterator[None]:
        """Let one body of a person in at a time, which bounds what has to be held in memory.

        Nobody waits longer for a turn than a body may take: one sender of slow bodies would hold a connection
        for each of them, and so in the end all that there are.
        """
        turn = self._turns.setdefault(person, asyncio.Lock())
        try:
            await asyncio.wait_for(turn.acquire(), TURN_WITHIN_S)
        except TimeoutError:
            raise HTTPException(
                429,
                "Your posts before this one are not through yet; send it again.",
                {"Retry-After": "60", "Connection": "close"},
            ) from None
        try:
            yield
        finally:
            turn.release()

    async def _find_person(self, request: Request) -> str:
        scheme, _, token = request.headers.get("authorization", "").partition(" ")
        person = await self._desk.find_poster(token.strip()) if scheme.lower() == "bearer" else None
        if person is None:
            raise _unknown()
        return person

    async def show_health(self, _: Request) -> Response:
        try:
            faults = await self._desk.check()
        except TimeoutError:
            faults = ["its workers do not answer"]
        if faults:
            return _problem(
                503, f"Something is wrong: {', '.join(faults)}.", {"Retry-After": "60"}, faults=faults
            )
        return JSONResponse({"status": "ok"})


async def _show_description(_: Request) -> Response:
    return JSONResponse(DESCRIPTION)


def _pusher(hook: Hook) -> Callable[[Request], Awaitable[Response]]:
    async def push(request: Request) -> Response:
        if not hook.admits(request.headers):
            return Response(status_code=HTTPStatus.FORBIDDEN, headers={"Connection": "close"})
        body = await read_body(request, _MAX_PUSH_BYTES)
        return Response(status_code=await hook.receive(body))

    return push


class _Told(TypedDict):
    unit: GlucoseUnit | None
    column: str | None
    day_first: bool | None


def _read_query(request: Request) -> _Told:
    """Return what the address says of the body: its unit, and answers to what it can leave open."""
    if set(request.query_params) - {"unit", "column", "day_first"}:
        raise HTTPException(400, "What can stand in the address: unit, column and day_first.")
    said = {name: request.query_params.getlist(name) for name in ("unit", "column", "day_first")}
    unit = find_unit(said["unit"][0]) if said["unit"] else None
    if said["unit"] and (unit is None or len(said["unit"]) > 1):
        raise HTTPException(400, "The unit is mmol/L or mg/dL, given once; leave it out to have it found.")
    if len(said["column"]) > 1 or not all(0 < len(name) <= _LONGEST_NAME for name in said["column"]):
        raise HTTPException(400, "The column is named once, by its heading or its number.")
    if len(said["day_first"]) > 1 or not set(said["day_first"]) <= {"true", "false"}:
        raise HTTPException(400, "day_first is true or false, given once.")
    return {
        "unit": unit,
        "column": next(iter(said["column"]), None),
        "day_first": said["day_first"][0] == "true" if said["day_first"] else None,
    }


def _read_key(request: Request) -> str | None:
    if request.headers.get("content-type", "").lower().startswith("multipart/"):
        raise HTTPException(415, _NO_FORM)
    coding = request.headers.get("content-encoding", "identity").strip().lower()
    if coding not in _CODINGS:
        raise HTTPException(415, _NO_CODING, {"Accept-Encoding": "gzip"})
    key = request.headers.get("idempotency-key")
    if key is not None and not _KEY.fullmatch(key):
        raise HTTPException(400, "An Idempotency-Key is 1 to 200 visible ASCII characters without spaces.")
    return key


def _unknown() -> HTTPException:
    return HTTPException(401, _NO_TOKEN, {"WWW-Authenticate": "Bearer"})


def _problem(status: int, detail: str, headers: Mapping[str, str] | None = None, **more: object) -> Response:
    """Answer as RFC 9457 (Problem Details) has it; `more` are extension members."""
    content: dict[str, Any] = {
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        **more,
    }
    return JSONResponse(content, status, dict(headers or {}), media_type="application/problem+json")


async def _explain(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    details = {404: _NOT_HERE, 405: "This path is not asked in that way; see GET /openapi.json."}
    return _problem(error.status_code, details.get(error.status_code, error.detail), error.headers)


async def _explain_file(_: Request, error: Exception) -> Response:
    if not isinstance(error, AskFile):
        return _problem(422, str(error))
    how = f"Post it again with the parameter {error.about} in the address."
    return _problem(422, f"{error} {how}", about=error.about, options=list(error.options))


async def _explain_store(_: Request, error: Exception) -> Response:
    _log.error("a request could not be served: %s", error)
    return _problem(503, _BROKEN, {"Retry-After": "60"})


async def _note_gone(_: Request, __: Exception) -> Response:
    _log.info("a client left before its request was complete")
    return _problem(400, "The body broke off.")


async def _explain_fault(_: Request, __: Exception) -> Response:
    return _problem(500, _BROKEN)  # the server logs what it was
