"""Methods of the Bot API for how a message stands in a chat: marks on it, pins, albums, and its end."""

from typing import TYPE_CHECKING, Any

from tests.botapi.wire import Json, Refused, check_caption, find_file, load

if TYPE_CHECKING:
    from tests.botapi.server import Sent

SIGNS = list("👍👎❤🔥🥰👏😁🤔🤯😱😢🎉🤩🙏👌🕊🥱💯⚡🏆👀🤝✍🤗🫡")
"""Some of those that the documentation lists for ReactionTypeEmoji."""


class Manners:
    """To be mixed into the server, which has the messages."""

    messages: list["Sent"]
    reactions: dict[int, str]
    _theirs: dict[int, set[int]]
    _find_chat: Any
    _find_message: Any
    _post: Any
    _show: Any

    async def _on_setMessageReaction(self, fields: Json, _: Json) -> bool:
        chat_id, message_id = self._find_chat(fields), int(fields.get("message_id", 0))
        if not self._is_there(chat_id, message_id):
            raise Refused(400, "Bad Request: message to react not found")
        signs = load(fields, "reaction", [])
        if len(signs) > 1:
            raise Refused(400, "Bad Request: REACTIONS_TOO_MANY")
        for sign in signs:
            if sign.get("type") != "emoji" or sign.get("emoji") not in SIGNS:
                raise Refused(400, "Bad Request: REACTION_INVALID")
        self.reactions[message_id] = "".join(sign["emoji"] for sign in signs)
        return True

    async def _on_pinChatMessage(self, fields: Json, _: Json) -> bool:
        self._find_message(fields).pinned = True
        return True

    async def _on_unpinChatMessage(self, fields: Json, _: Json) -> bool:
        message = self._find_message(fields)
        if not message.pinned:
            raise Refused(400, "Bad Request: message to unpin not found")
        message.pinned = False
        return True

    async def _on_deleteMessage(self, fields: Json, _: Json) -> bool:
        self.messages.remove(self._find_message(fields))
        return True

    async def _on_sendMediaGroup(self, fields: Json, files: Json) -> list[Json]:
        chat_id, media = self._find_chat(fields), load(fields, "media", [])
        if not 2 <= len(media) <= 10:
            raise Refused(400, "Bad Request: group send failed: 2 to 10 media are needed")
        if "reply_markup" in fields:
            raise Refused(400, "Bad Request: an album has no buttons")
        sent = []
        for item in media:
            if item.get("type") != "photo":
                raise Refused(400, "Bad Request: can't use the media of the specified type in the album")
            name, data = find_file(item, files, "media")
            caption = check_caption(item)
            album = str(sent[0].message_id if sent else "first")
            sent.append(
                self._post(chat_id, fields, caption, kind="photo", file=data, file_name=name, album=album)
            )
        sent[0].album = str(sent[0].message_id)
        return [self._show(message) for message in sent]

    def _check_answered(self, chat_id: int, fields: Json) -> None:
        """Refuse to answer what is not there, unless it may be sent without."""
        answered = load(fields, "reply_parameters", {})
        if not answered or self._is_there(chat_id, int(answered["message_id"])):
            return
        if not answered.get("allow_sending_without_reply"):
            raise Refused(400, "Bad Request: message to be replied not found")

    def _is_there(self, chat_id: int, message_id: int) -> bool:
        ours = {message.message_id for message in self.messages if message.chat_id == chat_id}
        return message_id in ours | self._theirs[chat_id]
