"""Telegram's updates as channel-neutral messages."""

import re
from datetime import datetime, timedelta

from telegram import Bot, CallbackQuery, Document, Message, Update
from telegram.constants import ChatType
from telegram.helpers import effective_message_type

from bot.channels.telegram_files import find_file
from bot.language.texts import later
from bot.model.messages import Attachment, Incoming

KINDS = (Update.MESSAGE, Update.EDITED_MESSAGE, Update.CALLBACK_QUERY)
"""The kinds of update that are asked for; channel posts and the like never arrive."""

_PREFIX = "tg:"
_AHEAD, _BEHIND = timedelta(days=1), timedelta(days=30)
"""A date of the messenger's so far from this machine's clock dates nothing; a message may wait long."""
_CODE = re.compile(r"(?:/start\s+)?([\w-]{22})\s*", re.ASCII)


PRIVATE = later(
    "This bot is private. Its owner can let you in by invitation; the number to give is {number}."
)
"""What somebody is told who was not let in."""


def name_person(chat_id: int) -> str:
    """Return the name under which the store knows the person of a private chat."""
    return f"{_PREFIX}{chat_id}"


def find_chat(person: str) -> int | None:
    """Return the chat of a person, None for a person of another channel."""
    return int(person.removeprefix(_PREFIX)) if person.startswith(_PREFIX) else None


def name_update(update: Update) -> str:
    """Return the id that is unique over all channels."""
    return f"{_PREFIX}{update.update_id}"


def says_something(update: Update) -> bool:
    """Tell whether a person said, edited or pressed something (a pinned message, say, is none of these)."""
    query = update.callback_query
    if query is not None:
        return query.data is not None and query.message is not None
    message = update.message or update.edited_message
    return message is not None and (bool(message.text) or message.effective_attachment is not None)


def kind_of(update: Update) -> str:
    """Return what an update is, to count it by: a few words, none of them the person's."""
    message = update.message
    if message is None:
        return "press" if update.callback_query else "edit"
    if message.text:
        return "text"
    return "photo" if message.photo else "file" if message.document else "other"


def refuse_place(update: Update) -> str | None:
    """Return the sentence for what comes from no person's own chat, None for what does."""
    chat, sender = update.effective_chat, update.effective_user
    if chat is None or chat.type != ChatType.PRIVATE or sender is None or sender.id != chat.id:
        return later("I keep personal diaries, so I only talk in private chats. Please write to me directly.")
    return None


def find_code(update: Update) -> str | None:
    """Return the code of an invitation that came by the start link, or by itself."""
    said = _CODE.fullmatch(update.message.text or "") if update.message else None
    return said[1] if said else None


def without_code(update: Update, bot: Bot) -> Update:
    """Return an update that brought a code as the plain start of a talk."""
    raw = update.to_dict()
    raw["message"] |= {"text": "/start", "entities": []}
    return Update.de_json(raw, bot)


def asks_to_erase(update: Update) -> bool:
    """Tell whether somebody wants all deleted that is held about them, or confirms it."""
    query, message = update.callback_query, update.message
    if query is not None:
        return str(query.data).startswith("erase:")
    return message is not None and (message.text or "").strip().lower() == "/erase"


def read_update(update: Update, now: datetime, file: Attachment | None = None) -> Incoming:
    """Return what the person of a private chat did.

    `now` dates a press, which carries no time of its own, and what has a date far from it.

    A document without its downloaded `file` is one too large to be handed over; a photo without, one that
    could not be fetched.
    """
    if update.callback_query is not None:
        return _read_press(update, update.callback_query, now)
    message = update.message or update.edited_message
    if message is None:
        raise ValueError(f"update {update.update_id} holds no message")
    document = find_file(update)
    is_large = isinstance(document, Document) and file is None
    kind = None if message.text or file or is_large else effective_message_type(message)
    return Incoming(
        person=name_person(message.chat.id),
        update_id=name_update(update),
        sent_at=_dated(message.date, now),
        message_id=str(message.message_id),
        text=message.text or message.caption or "",
        file=file,
        too_large=is_large,
        other=str(kind).replace("_", " ") if kind else None,
        edited=update.edited_message is not None,
        reply_to=_answered(message),
        language=_language(update),
    )


def _dated(said: datetime, now: datetime) -> datetime:
    """Return when a message was sent, or `now` where its date is too far from it to be true."""
    return said if -_BEHIND <= said - now <= _AHEAD else now


def _read_press(update: Update, query: CallbackQuery, now: datetime) -> Incoming:
    if query.message is None or query.data is None:
        raise ValueError(f"update {update.update_id} is a press without its message or data")
    return Incoming(
        person=name_person(query.message.chat.id),
        update_id=name_update(update),
        sent_at=now,
        message_id=str(query.message.message_id),
        press=query.data,
        language=_language(update),
    )


def _language(update: Update) -> str:
    sender = update.effective_user
    return (sender.language_code if sender else None) or "und"


def _answered(message: Message) -> str | None:
    return str(message.reply_to_message.message_id) if message.reply_to_message else None
