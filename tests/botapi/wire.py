"""The wire of the Bot API: HTTP by hand, and what the public documentation refuses.

The limits are those of core.telegram.org/bots/api, the wording of the errors is from memory of the server.
"""

import asyncio
import json
import re
from email.utils import formatdate
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

Json = dict[str, Any]


class Refused(Exception):
    def __init__(self, code: int, description: str, **parameters: Any) -> None:
        self.code, self.description, self.parameters = code, description, parameters


def check_text(fields: Json) -> str:
    text: str = fields.get("text", "").strip()
    if not text:
        raise Refused(400, "Bad Request: message text is empty")
    if len(text) > 4096:
        raise Refused(400, "Bad Request: message is too long")
    return text


def check_caption(fields: Json) -> str:
    caption: str = fields.get("caption", "").strip()
    if len(caption) > 1024:
        raise Refused(400, "Bad Request: message caption is too long")
    return caption


def check_keys(fields: Json) -> list[list[Json]]:
    keys: list[list[Json]] = load(fields, "reply_markup", {}).get("inline_keyboard", [])
    for key in (key for row in keys for key in row):
        if not key.get("text"):
            raise Refused(400, "Bad Request: text buttons are unallowed in the inline keyboard")
        if not 1 <= len(key.get("callback_data", "").encode()) <= 64:
            raise Refused(400, "Bad Request: BUTTON_DATA_INVALID")
    return keys


def load(fields: Json, name: str, default: Any) -> Any:
    if name not in fields:
        return default
    try:
        return json.loads(fields[name]) if isinstance(fields[name], str) else fields[name]
    except ValueError:
        raise Refused(400, f"Bad Request: can't parse {name} JSON object") from None


def find_file(fields: Json, files: Json, kind: str) -> tuple[str, bytes]:
    name = fields.get(kind, kind).removeprefix("attach://")
    if name not in files:
        raise Refused(400, f"Bad Request: there is no {kind} in the request")
    found: tuple[str, bytes] = files[name]
    return found


def read_fields(kind: str, body: bytes) -> tuple[Json, Json]:
    if kind.startswith("application/json"):
        try:
            return json.loads(body or b"{}"), {}
        except ValueError:
            raise Refused(400, "Bad Request: can't parse JSON object") from None
    if not kind.startswith("multipart/form-data"):
        return dict(parse_qsl(body.decode(), keep_blank_values=True)), {}
    boundary = b"--" + kind.partition("boundary=")[2].strip('"').encode()
    fields: Json = {}
    files: Json = {}
    for part in body.split(boundary)[1:-1]:
        head, _, content = part[2:-2].partition(b"\r\n\r\n")
        named = dict(re.findall(r'(\bfilename|\bname)="([^"]*)"', head.decode()))
        if "filename" in named:
            files[named["name"]] = (named["filename"], content)
        else:
            fields[named["name"]] = content.decode()
    return fields, files


async def read_head(reader: asyncio.StreamReader) -> tuple[str, dict[str, str]] | None:
    try:
        head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1")
    except asyncio.IncompleteReadError:
        return None
    first, *lines = head.strip().split("\r\n")
    pairs = (line.partition(":") for line in lines)
    return unquote(urlsplit(first.split(" ")[1]).path), {
        name.lower(): value.strip() for name, _, value in pairs
    }


def reply(code: int, content: Json) -> bytes:
    return response(code, json.dumps(content).encode(), "application/json")


def response(code: int, body: bytes, kind: str) -> bytes:
    head = f"HTTP/1.1 {code} .\r\nDate: {formatdate(usegmt=True)}\r\nContent-Type: {kind}\r\n"
    head += f"Content-Length: {len(body)}\r\n\r\n"
    return head.encode() + body


async def post_json(url: str, content: Json, *, secret: str | None) -> int:
    """POST as the messenger does to a webhook; return the status, 0 when nobody answers."""
    parts = urlsplit(url)
    body = json.dumps(content).encode()
    head = f"POST {parts.path} HTTP/1.1\r\nHost: {parts.netloc}\r\nContent-Type: application/json\r\n"
    head += f"Content-Length: {len(body)}\r\nConnection: close\r\n"
    if secret is not None:
        head += f"X-Telegram-Bot-Api-Secret-Token: {secret}\r\n"
    try:
        reader, writer = await asyncio.open_connection(parts.hostname, parts.port)
    except OSError:
        return 0
    try:
        writer.write(head.encode() + b"\r\n" + body)
        answer = await reader.readline()
        return int(answer.split()[1]) if answer else 0
    except ConnectionError:
        return 0
    finally:
        writer.close()
