"""The Bot API server itself: its state, its updates and its methods, on one event loop in a thread."""

import asyncio
import re
import threading
import time
from collections import defaultdict, deque
from dataclasses import dataclass, field
from typing import Any, Literal, Self

from tests.botapi.manners import Manners
from tests.botapi.wire import (
    Json,
    Refused,
    check_caption,
    check_keys,
    check_text,
    find_file,
    load,
    post_json,
    read_fields,
    read_head,
    reply,
    response,
)

TOKEN = "123456:loopback-token"
BOT = {"id": 123456, "is_bot": True, "first_name": "Note", "username": "note_bot"}
MAX_DOWNLOAD = 20 * 1024 * 1024

FaultKind = Literal["429", "500", "502", "drop_before", "drop_after", "slow"]


@dataclass(frozen=True)
class Fault:
    """What goes wrong once with a method.

    429: refused, to be retried after `seconds`; 500, 502: refused by the server, or by something before it
    drop_before, drop_after: the connection ends before or after the request was carried out
    slow: carried out at once, answered after `seconds`
    """

    kind: FaultKind
    seconds: float = 1


@dataclass
class Sent:
    """One message as the chat shows it now."""

    chat_id: int
    message_id: int
    text: str
    keys: list[list[Json]] = field(default_factory=list)
    file: bytes = b""
    file_name: str = ""
    kind: str = "text"
    edits: int = 0
    album: str = ""
    silent: bool = False
    pinned: bool = False
    at: float = 0.0
    fields: Json = field(default_factory=dict)

    @property
    def labels(self) -> list[str]:
        return [key["text"] for row in self.keys for key in row]


class Server(Manners):
    """Answers the bot; `token` is the only one it knows. Use it as a context manager."""

    def __init__(self, token: str = TOKEN) -> None:
        self.token = token
        self.url = ""
        self.messages: list[Sent] = []
        self.calls: list[tuple[str, Json]] = []
        self.answered: list[str] = []
        self.commands: list[Json] = []
        self.polls = 0
        self.webhook: Json = {}
        self.webhook_answers: list[int] = []
        self._pending: deque[Json] = deque()
        self._faults: dict[str, deque[Fault]] = defaultdict(deque)
        self._files: dict[str, tuple[bytes, int]] = {}
        self._queries: dict[str, int] = {}
        self._chats: dict[int, str] = {}
        self.reactions: dict[int, str] = {}
        self._blocked: set[int] = set()
        self._theirs: dict[int, set[int]] = defaultdict(set)
        self._next_update, self._next_message = 1000, 1
        self._poller: asyncio.Future[bool] | None = None
        self._pusher: asyncio.Task[None] | None = None
        self._changed = threading.Condition()
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, name="botapi", daemon=True)
        self._connections: set[asyncio.Task[None]] = set()

    def __enter__(self) -> Self:
        self._thread.start()
        self._server: asyncio.Server = self._do(self._start())
        self.url = f"http://127.0.0.1:{self._server.sockets[0].getsockname()[1]}"
        return self

    def __exit__(self, *_: object) -> None:
        self._do(self._stop())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    def _do(self, coroutine: Any) -> Any:
        return asyncio.run_coroutine_threadsafe(coroutine, self._loop).result(timeout=10)

    async def _start(self, port: int = 0) -> asyncio.Server:
        return await asyncio.start_server(self._serve, "127.0.0.1", port, backlog=256)

    async def _stop(self) -> None:
        self._server.close()
        if self._pusher:
            self._pusher.cancel()
        for connection in list(self._connections):
            connection.cancel()
        await asyncio.gather(*self._connections, return_exceptions=True)
        await asyncio.sleep(0)

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task is not None
        self._connections.add(task)
        try:
            while head := await read_head(reader):
                path, headers = head
                body = await reader.readexactly(int(headers.get("content-length", "0")))
                answer = await self._answer(path, headers, body)
                if answer is None:
                    break
                writer.write(answer)
                await writer.drain()
        except (ConnectionError, asyncio.IncompleteReadError, asyncio.CancelledError):
            pass  # the other side has gone, or the server stops
        finally:
            self._connections.discard(task)
            writer.transport.abort()

    async def _answer(self, path: str, headers: dict[str, str], body: bytes) -> bytes | None:
        if path.startswith(f"/file/bot{self.token}/"):
            return self._download(path.rpartition("/")[2])
        prefix, _, method = path.lstrip("/").partition("/")
        if prefix != f"bot{self.token}":
            return reply(401, {"ok": False, "error_code": 401, "description": "Unauthorized"})
        fault = self._faults[method].popleft() if self._faults.get(method) else None
        if fault and fault.kind == "drop_before":
            return None
        if fault and fault.kind == "502":
            return response(502, b"<html><h1>502 Bad Gateway</h1></html>", "text/html")
        try:
            if fault and fault.kind == "429":
                wait = int(fault.seconds)
                raise Refused(429, f"Too Many Requests: retry after {wait}", retry_after=wait)
            if fault and fault.kind == "500":
                raise Refused(500, "Internal Server Error")
            fields, files = read_fields(headers.get("content-type", ""), body)
            self.calls.append((method, fields))
            result = await getattr(self, f"_on_{method}", _no_such_method)(fields, files)
        except Refused as error:
            content = {"ok": False, "error_code": error.code, "description": error.description}
            if error.parameters:
                content["parameters"] = error.parameters
            return reply(error.code, content)
        finally:
            with self._changed:
                self._changed.notify_all()
        if fault and fault.kind == "drop_after":
            return None
        if fault and fault.kind == "slow":
            await asyncio.sleep(fault.seconds)
        return reply(200, {"ok": True, "result": result})

    def _download(self, file_id: str) -> bytes | None:
        self.calls.append(("download", {"file_id": file_id}))
        fault = self._faults["download"].popleft() if self._faults["download"] else None
        if fault:
            return None if fault.kind.startswith("drop") else response(500, b"", "text/plain")
        return response(200, self._files[file_id][0], "application/octet-stream")

    # --- updates --------------------------------------------------------------------------------------

    def _take_message_id(self) -> int:
        with self._changed:
            self._next_message += 1
            return self._next_message

    async def _push(self, updates: tuple[Json, ...]) -> list[int]:
        ids = []
        for update in updates:
            update_id = update.get("update_id", self._next_update)
            self._next_update = max(self._next_update, update_id) + 1
            self._pending.append({"update_id": update_id} | update)
            ids.append(update_id)
        if self._poller and not self._poller.done():
            self._poller.set_result(True)
        if self.webhook.get("url") and (self._pusher is None or self._pusher.done()):
            self._pusher = asyncio.create_task(self._push_to_webhook())
        return ids

    async def _on_getUpdates(self, fields: Json, _: Json) -> list[Json]:
        if self.webhook.get("url"):
            raise Refused(409, "Conflict: can't use getUpdates method while webhook is active")
        if self._poller and not self._poller.done():
            self._poller.set_result(False)
        self.polls += 1
        offset = int(fields.get("offset", 0))
        while self._pending and self._pending[0]["update_id"] < offset:
            self._pending.popleft()
        if not self._pending and float(fields.get("timeout", 0)):
            self._poller = poller = self._loop.create_future()
            try:
                if not await asyncio.wait_for(poller, float(fields["timeout"])):
                    raise Refused(409, "Conflict: terminated by other getUpdates request")
            except TimeoutError:
                return []
        limit = int(fields.get("limit", 100))
        return [update for update, _ in zip(self._pending, range(limit), strict=False)]

    async def _push_to_webhook(self) -> None:
        pause = 0.05
        while self._pending and self.webhook.get("url"):
            status = await post_json(
                self.webhook["url"], self._pending[0], secret=self.webhook.get("secret_token")
            )
            self.webhook_answers.append(status)
            if status == 200:
                self._pending.popleft()
                pause = 0.05
            else:
                await asyncio.sleep(pause)
                pause = min(1, 2 * pause)

    async def _on_setWebhook(self, fields: Json, _: Json) -> bool:
        if not re.fullmatch(r"[A-Za-z0-9_-]{1,256}", fields.get("secret_token", "x")):
            raise Refused(400, "Bad Request: secret token contains unallowed characters")
        self.webhook = fields
        await self._push(())
        return True

    async def _on_deleteWebhook(self, _: Json, __: Json) -> bool:
        self.webhook = {}
        return True

    # --- the other methods ----------------------------------------------------------------------------

    async def _on_getMe(self, _: Json, __: Json) -> Json:
        return BOT

    async def _on_setMyCommands(self, fields: Json, _: Json) -> bool:
        commands = load(fields, "commands", [])
        for command in commands:
            if not re.fullmatch(r"[a-z0-9_]{1,32}", command["command"]):
                raise Refused(400, "Bad Request: BOT_COMMAND_INVALID")
            if not 1 <= len(command["description"]) <= 256:
                raise Refused(400, "Bad Request: BOT_COMMAND_DESCRIPTION_INVALID")
        self.commands = commands
        return True

    async def _on_sendChatAction(self, fields: Json, _: Json) -> bool:
        self._find_chat(fields)
        if fields.get("action") not in {"typing", "upload_photo", "upload_document"}:
            raise Refused(400, "Bad Request: wrong parameter action in request")
        return True

    async def _on_sendMessage(self, fields: Json, _: Json) -> Json:
        chat_id = self._find_chat(fields)
        return self._show(self._post(chat_id, fields, text=check_text(fields)))

    async def _on_sendPhoto(self, fields: Json, files: Json) -> Json:
        chat_id = self._find_chat(fields)
        name, data = find_file(fields, files, "photo")
        if not data.startswith((b"\x89PNG\r\n\x1a\n", b"\xff\xd8")):
            raise Refused(400, "Bad Request: IMAGE_PROCESS_FAILED")
        caption = check_caption(fields)
        return self._show(self._post(chat_id, fields, caption, kind="photo", file=data, file_name=name))

    async def _on_sendDocument(self, fields: Json, files: Json) -> Json:
        chat_id = self._find_chat(fields)
        name, data = find_file(fields, files, "document")
        if not data:
            raise Refused(400, "Bad Request: file must be non-empty")
        caption = check_caption(fields)
        return self._show(self._post(chat_id, fields, caption, kind="document", file=data, file_name=name))

    async def _on_editMessageText(self, fields: Json, _: Json) -> Json:
        message = self._find_message(fields)
        text, keys = check_text(fields), check_keys(fields)
        if message.kind != "text":
            raise Refused(400, "Bad Request: there is no text in the message to edit")
        if (text, keys) == (message.text, message.keys):
            raise Refused(400, "Bad Request: message is not modified: the new content is the same")
        message.text, message.keys, message.edits = text, keys, message.edits + 1
        return self._show(message)

    async def _on_editMessageReplyMarkup(self, fields: Json, _: Json) -> Json:
        message, keys = self._find_message(fields), check_keys(fields)
        if keys == message.keys:
            raise Refused(400, "Bad Request: message is not modified: the new content is the same")
        message.keys, message.edits = keys, message.edits + 1
        return self._show(message)

    async def _on_answerCallbackQuery(self, fields: Json, _: Json) -> bool:
        query_id = fields.get("callback_query_id", "")
        if self._queries.pop(query_id, None) is None:
            raise Refused(
                400, "Bad Request: query is too old and response timeout expired or query ID is invalid"
            )
        self.answered.append(query_id)
        return True

    async def _on_getFile(self, fields: Json, _: Json) -> Json:
        file_id = fields.get("file_id", "")
        if file_id not in self._files:
            raise Refused(400, "Bad Request: invalid file_id")
        if self._files[file_id][1] > MAX_DOWNLOAD:
            raise Refused(400, "Bad Request: file is too big")
        return {"file_id": file_id, "file_unique_id": file_id, "file_path": f"documents/{file_id}"}

    def _find_chat(self, fields: Json) -> int:
        chat_id = int(fields.get("chat_id", 0))
        if chat_id in self._blocked:
            raise Refused(403, "Forbidden: bot was blocked by the user")
        if chat_id not in self._chats:
            raise Refused(400, "Bad Request: chat not found")
        return chat_id

    def _find_message(self, fields: Json) -> Sent:
        chat_id = self._find_chat(fields)
        for message in reversed(self.messages):
            if (message.chat_id, message.message_id) == (chat_id, int(fields.get("message_id", 0))):
                return message
        raise Refused(400, "Bad Request: message to edit not found")

    def _post(self, chat_id: int, fields: Json, text: str, **more: Any) -> Sent:
        keys = check_keys(fields)
        self._check_answered(chat_id, fields)
        silent = load(fields, "disable_notification", False)
        message_id, at = self._take_message_id(), time.monotonic()
        message = Sent(chat_id, message_id, text, keys, silent=silent, at=at, fields=fields, **more)
        self.messages.append(message)
        return message

    def _show(self, message: Sent) -> Json:
        shown: Json = {
            "message_id": message.message_id,
            "date": int(time.time()),
            "chat": person(message.chat_id) | {"type": self._chats[message.chat_id]},
            "from": BOT,
        }
        if message.album:
            shown["media_group_id"] = message.album
        if message.keys:
            shown["reply_markup"] = {"inline_keyboard": message.keys}
        if message.kind == "text":
            return shown | {"text": message.text}
        about: Any = {"file_id": "sent", "file_unique_id": "sent"}
        if message.kind == "photo":
            about = [about | {"width": 1, "height": 1}]
        return shown | {message.kind: about} | ({"caption": message.text} if message.text else {})


def person(chat_id: int) -> Json:
    return {"id": chat_id, "is_bot": False, "first_name": "Kim"}


async def _no_such_method(_: Json, __: Json) -> None:
    raise Refused(404, "Not Found: method not found")
