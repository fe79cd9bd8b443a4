"""A Bot API server on the loopback interface: real HTTP, strict, with faults on demand.

The helpers here may be called from any thread but the server's own.

    with BotApi() as api:
        api.say(7, "two eggs")             # a person writes
        api.wait_for(1, chat_id=7)         # until the bot has answered once
        api.press(7, api.sent(7)[-1], "Undo")
"""

import time
from collections.abc import Callable, Iterable
from typing import Any

from tests.botapi.server import TOKEN, Fault, Sent, Server, person
from tests.botapi.wire import Json, post_json

__all__ = ["TOKEN", "BotApi", "Fault", "Sent", "in_chat", "post_json"]


def in_chat(chat_id: int) -> Json:
    """Return the fields of a message that somebody writes in their own chat."""
    return {"chat": person(chat_id) | {"type": "private"}, "from": person(chat_id)}


class BotApi(Server):
    """The server, and what people do with it."""

    def say(self, chat_id: int, text: str, **more: Any) -> Json:
        """A person writes; returns the message."""
        return self._arrive(chat_id, {"text": text, **more})

    def edit(self, message: Json, text: str) -> None:
        """A person changes an earlier message."""
        edited = {**message, "text": text, "edit_date": int(time.time())}
        self.push({"edited_message": edited})

    def document(self, chat_id: int, name: str, data: bytes, *, caption: str = "", size: int = 0) -> Json:
        """A person sends a file; `size` pretends it were larger, a negative one without saying so."""
        file_id = f"file{len(self._files) + 1}"
        self._files[file_id] = (data, abs(size) or len(data))
        about: Json = {"file_id": file_id, "file_unique_id": file_id, "file_name": name}
        if size >= 0:
            about["file_size"] = size or len(data)
        return self._arrive(chat_id, {"document": about, **({"caption": caption} if caption else {})})

    def photo(self, chat_id: int, caption: str = "", data: bytes = b"\xff\xd8\xffjpeg") -> Json:
        """A person sends a photo, which comes in two sizes."""
        sizes = []
        for side, content in ((90, b"\xff\xd8\xffsmall"), (1280, data)):
            file_id = f"file{len(self._files) + 1}"
            self._files[file_id] = (content, len(content))
            size = {"width": side, "height": side, "file_size": len(content)}
            sizes.append(size | {"file_id": file_id, "file_unique_id": file_id})
        return self._arrive(chat_id, {"photo": sizes, **({"caption": caption} if caption else {})})

    def voice(self, chat_id: int) -> Json:
        """A person sends a voice message."""
        return self._arrive(chat_id, {"voice": {"file_id": "v", "file_unique_id": "v", "duration": 2}})

    def press(self, chat_id: int, message: Sent, label: str) -> str:
        """A person presses a button; returns the id of the press, which the bot has to answer."""
        [data] = [k["callback_data"] for row in message.keys for k in row if k["text"] == label]
        query_id = f"q{len(self._queries) + 1}"
        self._queries[query_id] = chat_id
        self.push(
            {
                "callback_query": {
                    "id": query_id,
                    "from": person(chat_id),
                    "chat_instance": "1",
                    "data": data,
                    "message": self._show(message),
                }
            }
        )
        return query_id

    def push(self, *updates: Json) -> list[int]:
        """Queue raw updates; each gets the next id unless it has one. Returns the ids."""
        return self._do(self._push(updates))

    def block(self, chat_id: int) -> None:
        """A person blocks the bot."""
        self._blocked.add(chat_id)

    def go_away(self) -> None:
        """Take no more connections and cut those there are."""
        self._do(self._stop())

    def come_back(self) -> None:
        """Be there again, at the same address."""
        self._server = self._do(self._start(int(self.url.rpartition(":")[2])))

    def know(self, chat_id: int, theirs: Iterable[int] = ()) -> None:
        """Let a chat exist, and messages of the person in it, without anything coming to the bot."""
        self._chats[chat_id] = "private"
        self._theirs[chat_id].update(theirs)

    def fault(self, method: str, *faults: Fault) -> None:
        """Let the next calls of a method go wrong, one after the other."""
        self._faults[method].extend(faults)

    def sent(self, chat_id: int, *, silent: bool = False) -> list[Sent]:
        """Return what the bot has sent to a chat, as it looks now; what made no sound only when `silent`."""
        of_chat = [message for message in self.messages if message.chat_id == chat_id]
        return [message for message in of_chat if silent or not message.silent]

    def count(self, method: str) -> int:
        """Return how often a method was called."""
        return sum(name == method for name, _ in self.calls)

    def unconfirmed(self) -> int:
        """Return how many updates have not been acknowledged."""
        return len(self._pending)

    def wait_for(
        self,
        wanted: int | Callable[[], object],
        *,
        chat_id: int | None = None,
        silent: bool = False,
        timeout: float = 10,
    ) -> list[Sent]:
        """Wait until so many messages were sent (to a chat), or until a function says yes; return them."""

        def shown() -> list[Sent]:
            return self.messages if chat_id is None else self.sent(chat_id, silent=silent)

        def met() -> bool:
            return len(shown()) >= wanted if isinstance(wanted, int) else bool(wanted())

        end = time.monotonic() + timeout
        with self._changed:
            while not met():
                left = end - time.monotonic()
                if left <= 0:
                    raise AssertionError(f"waited {timeout} s in vain; sent so far: {shown()}")
                self._changed.wait(min(left, 0.05))
        return list(shown())

    def _arrive(self, chat_id: int, content: Json) -> Json:
        kind = "private" if chat_id > 0 else "group"
        self._chats[chat_id] = kind
        chat = (
            person(chat_id) | {"type": kind} if chat_id > 0 else {"id": chat_id, "type": kind, "title": "g"}
        )
        message: Json = {
            "message_id": self._take_message_id(),
            "date": int(time.time()),
            "chat": chat,
            "from": person(abs(chat_id)),
        } | content
        self._theirs[chat_id].add(message["message_id"])
        self.push({"message": message})
        return message
