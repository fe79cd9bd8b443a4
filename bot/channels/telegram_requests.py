"""The requests of the Bot API that a message comes to, in order: nothing is sent here."""

from collections.abc import Awaitable, Callable, Sequence
from functools import partial
from typing import Any

from telegram import (
    Bot,
    InlineKeyboardButton,
    InlineKeyboardMarkup,
    InputMediaPhoto,
    Message,
    ReplyParameters,
)
from telegram.constants import MessageLimit, ReactionEmoji

from bot.language.texts import later, say
from bot.model.messages import IN_WORDS, Button, Outgoing, Picture, Reaction

Request = Callable[[], Awaitable[Message | tuple[Message, ...]]]
Change = Callable[[], Awaitable[object]]

SIGNS: dict[Reaction, ReactionEmoji] = {
    "noted": ReactionEmoji.WRITING_HAND,
    "synced": ReactionEmoji.OK_HAND_SIGN,
    "thanks": ReactionEmoji.PERSON_WITH_FOLDED_HANDS,
}
"""Of the few that the platform allows, one for each meaning."""
_NO_PICTURE = later("(The picture could not be drawn this time.)")
_NO_FILE = later("(The file could not be made this time.)")


def plan_change(bot: Bot, chat_id: int, out: Outgoing) -> tuple[str, Change] | None:
    """Return the message that a message only changes, and the request for it; None when it is a new one."""
    if out.reaction is not None and out.answers_to is not None:
        sign = SIGNS[out.reaction]
        return out.answers_to, partial(bot.set_message_reaction, chat_id, int(out.answers_to), sign)
    if out.replaces is None or out.drawn or out.document:
        return None
    text, *more = split_text(out.shown)
    if more:
        return None
    keys = lay_out(out.buttons)
    return out.replaces, partial(bot.edit_message_text, text, chat_id, int(out.replaces), reply_markup=keys)


def plan_new(bot: Bot, chat_id: int, out: Outgoing, pictures: Sequence[Picture]) -> list[Request]:
    """Return the requests that a new message comes to.

    pictures: those of its pictures that could be drawn
    """
    manner: dict[str, Any] = {"disable_notification": True} if out.silent else {}
    texts = partial(_write, bot, chat_id, manner)
    text = out.shown
    if out.drawn and out.drawn[0].in_words:
        sends = texts("\n\n".join((text, *(picture.alt for picture in pictures))).strip())
    else:
        if len(pictures) < len(out.drawn):
            gone = say(_NO_FILE if out.drawn[0].is_file else _NO_PICTURE)
            text = f"{text}\n\n{gone}".strip()
        keyless = len(pictures) > 1 and bool(out.buttons)  # an album can have no buttons: the text has them
        sends = [*_show(bot, chat_id, manner, out, pictures), *_hand_over(bot, chat_id, manner, out)]
        caption = split_text(text, MessageLimit.CAPTION_LENGTH)
        if sends and len(caption) == 1 and not keyless:
            sends[0] = partial(sends[0], caption=caption[0])
        else:
            sends += texts(text)
    keys = lay_out((*out.buttons, *_offer_words(out)))
    if not (len(sends) == 1 and len(pictures) > 1):
        sends[-1] = partial(sends[-1], reply_markup=keys)
    if out.answers_to is not None:
        answered = ReplyParameters(int(out.answers_to), allow_sending_without_reply=True)
        sends[0] = partial(sends[0], reply_parameters=answered)
    return sends


def _write(bot: Bot, chat_id: int, manner: dict[str, Any], text: str) -> list[Callable[..., Any]]:
    return [partial(bot.send_message, chat_id, part, **manner) for part in split_text(text)]


def _show(
    bot: Bot, chat_id: int, manner: dict[str, Any], out: Outgoing, pictures: Sequence[Picture]
) -> list[Callable[..., Any]]:
    if len(pictures) > 1:
        album = [InputMediaPhoto(one.png, filename=f"{one.name}.png") for one in pictures]
        return [partial(bot.send_media_group, chat_id, album, **manner)]
    return [
        partial(
            bot.send_document if one.page else bot.send_photo,
            chat_id,
            one.page or one.png,
            filename=one.file,
            **manner,
        )
        for one in pictures
    ]


def _hand_over(bot: Bot, chat_id: int, manner: dict[str, Any], out: Outgoing) -> list[Callable[..., Any]]:
    if out.document is None:
        return []
    name, data = out.document.name, out.document.data
    return [partial(bot.send_document, chat_id, data, filename=name, **manner)]


def _offer_words(out: Outgoing) -> tuple[Button, ...]:
    """Offer what pictures show in words: a messenger has no place for them beside it."""
    if not out.drawn or out.drawn[0].is_file or out.drawn[0].in_words or out.id is None:
        return ()
    return (Button(say("In words"), f"{IN_WORDS}:{out.id}"),)


def lay_out(buttons: tuple[Button, ...]) -> InlineKeyboardMarkup | None:
    """Return the buttons, two in a row."""
    keys = [InlineKeyboardButton(button.label, callback_data=button.data) for button in buttons]
    return InlineKeyboardMarkup([keys[i : i + 2] for i in range(0, len(keys), 2)]) if keys else None


def split_text(text: str, limit: int = MessageLimit.MAX_TEXT_LENGTH) -> list[str]:
    """Cut a text into parts of at most `limit` characters, at line ends where there are any.

    Characters are counted as UTF-16 units, the messenger's own measure for positions in a text: never fewer
    than the true characters, so that no part is too long however the limit is counted.
    """
    rest = text.encode("utf-16-le", "replace").decode("utf-16-le")  # half a character alone cannot be sent
    parts: list[str] = []
    while len(units := rest.encode("utf-16-le")) > 2 * limit:
        head = units[: 2 * limit].decode("utf-16-le", "ignore")
        head = head[: head.rfind("\n") + 1] or head
        parts.append(head)
        rest = rest[len(head) :]
    return [part for part in (*parts, rest) if part.strip()] or [rest]
