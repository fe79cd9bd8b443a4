"""Channel-neutral messages: what came in and what is to go out.

An `Outgoing` is small and can be stored: a picture is named by a `PictureSpec` and drawn only when it is
delivered, so that no transaction waits for a drawing.
"""

import re
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from bot.model.units import GlucoseUnit


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that came with a message."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Post:
    """Readings that a program of a person posted.

    body: the bytes of what would otherwise be a file; unit: its unit, None to find out
    key: the program's own name for this post, None when it gave none
    column, day_first: what answers the questions that such a file can leave open
    """

    person: str
    body: bytes
    unit: GlucoseUnit | None = None
    key: str | None = None
    column: str | None = None
    day_first: bool | None = None


@dataclass(frozen=True, slots=True)
class Incoming:
    """One message, edit or button press from a person.

    person: who, as the store knows them ("local", or "tg:" and the chat's number)
    update_id: unique for ever; the same id is handled once
    message_id: the message's own id, which an edit or a reply names again
    sent_at: when the person sent it (aware UTC), which is what "now" means in its text
    text: the words, or the caption of a file or photo
    file: a document that came with it; `too_large` when the messenger would not hand it over
    photo: a photo of a meal that came with it, made small: JPEG
    other: what else it was ("photo", "voice", "sticker" ...) when it is neither text nor file
    press: the data of the button that was pressed on the message `message_id`
    edited: this is a new version of an earlier message
    reply_to: the id of the message it answers
    language: that of the messenger, like "de" or "pt-BR", "und" where it does not say; "" on the person's own
    machine, whose clock is theirs
    """

    person: str
    update_id: str
    sent_at: datetime
    message_id: str | None = None
    text: str = ""
    file: Attachment | None = None
    too_large: bool = False
    other: str | None = None
    press: str | None = None
    edited: bool = False
    reply_to: str | None = None
    language: str = ""
    photo: bytes | None = None


_NOT_KEPT = re.compile("[\0\ud800-\udfff]")


def drop_unkept(incoming: Incoming) -> Incoming:
    """Return a message without what a database keeps in no text: the number zero, and half characters."""
    file, press = incoming.file, incoming.press
    if file is not None:
        file = replace(file, name=_NOT_KEPT.sub(" ", file.name))
    press = None if press is None else _NOT_KEPT.sub(" ", press)
    return replace(incoming, text=_NOT_KEPT.sub(" ", incoming.text), file=file, press=press)


@dataclass(frozen=True, slots=True)
class Button:
    """A button under a message; `data` (at most 64 bytes) comes back as `Incoming.press`."""

    label: str
    data: str


PictureKind = Literal[
    "curve", "week", "day", "average", "waking", "two", "compare", "fasting", "run", "servings", "eating",
    "foods", "portion", "variants", "trial", "report", "ours", "lever", "review", "everything",
]  # fmt: skip
ReportVersion = Literal["whole", "share", "clinician"]
"""The whole report, what of it can be shown to anybody, or one page of measures for a clinician."""
IN_WORDS = "words"
"""A button under a picture that asks for it in words: the number of the message."""


@dataclass(frozen=True, slots=True)
class PictureSpec:
    """Which picture to draw.

    One meal's `curve` (by entry id); between two instants, the `week` of ranked meals, one `day`, a
    `review` of several, the
    `average` day by the clock or from `waking`, `two` of them, `fasting`, the `run` of days and sensors, the
    times of `eating`; the `servings` of one meal or food; meals against each other, `compare`; what `foods`
    add (all of them, or one dish or two foods by the words of `groups`), one food by its `portion`, the
    `variants` of a staple, the pairs of a `trial`, `ours`: a meal of two people, or meals with and without a
    `lever`. Two are files instead: the `report`, and `everything` held about the person.

    name: file name without ending, unique within a talk
    since, until: None = no bound, where there may be none
    groups: of `compare`, `servings` and `variants`, the label and the entry ids of each side; of `two`, the
    label and the local days of each kind (as `date.toordinal` counts them), none for weekdays and weekends;
    of a `trial`, its number; of `ours`, that of the share; of `everything`, the photos that come with it, as
    "all" with the rest or as "photos" alone (`since`: where its report begins)
    in_words: not the picture but what it shows in words is to be sent
    version, pdf: of a `report`, which one, and whether as a PDF instead of a page
    """

    kind: PictureKind
    name: str
    entry_id: int | None = None
    since: datetime | None = None
    until: datetime | None = None
    groups: tuple[tuple[str, tuple[int, ...]], ...] = ()
    in_words: bool = False
    version: ReportVersion = "whole"
    pdf: bool = False

    @property
    def is_file(self) -> bool:
        """Whether it is a file to keep, and no picture."""
        return self.kind in ("report", "everything")

    @property
    def file(self) -> str:
        """The name of the file that is drawn."""
        if self.kind == "report":
            return f"{self.name}.{'pdf' if self.pdf else 'html'}"
        return f"{self.name}.{'zip' if self.is_file else 'png'}"


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawn picture: PNG bytes, and the same in words for those who cannot see it.

    page: of a report there is an HTML page or a PDF instead, of everything held a ZIP file
    """

    name: str
    png: bytes
    alt: str
    page: bytes = b""

    @property
    def file(self) -> str:
        """The name of its file, by what is in it."""
        if not self.page:
            return f"{self.name}.png"
        endings = {b"%PDF": "pdf", b"PK\x03\x04": "zip"}
        return f"{self.name}.{endings.get(self.page[:4], 'html')}"


@dataclass(frozen=True, slots=True)
class Document:
    """A file for the person."""

    name: str
    data: bytes


Reaction = Literal["noted", "synced", "thanks"]
"""A mark on the person's own message that is the whole answer; each has one sign in a messenger."""


@dataclass(frozen=True, slots=True)
class Outgoing:
    """One message to a person.

    pictures: several of them as one album, where `picture` is none
    id: the outbox row, None until it is stored
    answers_to: the id of the person's message that it points at
    reaction: a mark on the message `answers_to`; the text is shown where there can be no such mark
    silent: it makes no sound; pinned: it stays at the top of the chat; unpins: a message that no longer does
    replaces: the id of an earlier message of ours that this one takes the place of, where the channel can
    reminder: sent by the clock, not as an answer
    entry_id: the log entry it is about, which an answer to it will mean
    whole: it was asked for, so that nothing is left out of it, though it was said before
    once: a secret that is shown below the text and stored nowhere, so that a crash before delivery loses it
    """

    person: str
    text: str
    buttons: tuple[Button, ...] = ()
    picture: PictureSpec | None = None
    document: Document | None = None
    replaces: str | None = None
    reminder: bool = False
    entry_id: int | None = None
    id: int | None = None
    once: str = ""
    pictures: tuple[PictureSpec, ...] = ()
    answers_to: str | None = None
    reaction: Reaction | None = None
    silent: bool = False
    pinned: bool = False
    unpins: str | None = None
    whole: bool = False

    @property
    def kind(self) -> Literal["message", "reaction", "edit"]:
        """What the person sees of it: something new, a mark, or an earlier message as it has become."""
        if self.reaction is not None:
            return "reaction"
        return "message" if self.replaces is None else "edit"

    @property
    def drawn(self) -> tuple[PictureSpec, ...]:
        """All pictures that come with it."""
        return self.pictures if self.picture is None else (self.picture,)

    @property
    def shown(self) -> str:
        """The text as the person sees it."""
        return f"{self.text}\n{self.once}" if self.once else self.text


MOST_IN_ALBUM = 10


def show_pictures(message: Outgoing, *pictures: PictureSpec) -> Outgoing:
    """Return a message with these pictures, as an album where there are several; at most ten of them."""
    if len(pictures) == 1:
        return replace(message, picture=pictures[0], pictures=())
    return replace(message, picture=None, pictures=pictures[:MOST_IN_ALBUM])
