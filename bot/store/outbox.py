"""Messages on their way out: stored with what they answer, and handed to the channel at once.

A row goes from `unsent` to `sent`, `uncertain` (perhaps delivered) or `failed`. One that a start finds still
unsent may have been delivered just before the stop; cut off so while it was being sent, it is sent once more,
not a third time. What waited, or was certainly not delivered, was not cut off, and is kept over any number of
starts.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Row,
    Select,
    TextClause,
    bindparam,
    insert,
    select,
    text,
    update,
)

from bot.model.messages import Button, Document, Outgoing, PictureSpec
from bot.store.connection import Connection
from bot.store.message_tables import outbox
from bot.store.metadata import UNSENT
from bot.store.serving import is_served

MOST_ATTEMPTS = 2

_SENT = (
    update(outbox)
    .where(outbox.c.id == bindparam("key"))
    .values(state="sent", ref=bindparam("new_ref"), settled_at=bindparam("at"))
)

_GET = select(outbox).where(outbox.c.id == bindparam("key"))
_SINCE = (
    select(outbox)
    .where(outbox.c.person == bindparam("person"), outbox.c.queued_at >= bindparam("since"))
    .order_by(outbox.c.queued_at)
)


@dataclass(frozen=True, slots=True)
class Delivered:
    """What became of a message: its state, and the channel's id for it, None before there is one."""

    message: Outgoing
    state: str
    ref: str | None

    def shows(self, other: Outgoing) -> bool:
        """Tell whether another message would look the same."""
        return (self.message.text, self.message.buttons) == (other.text, other.buttons)


class Outbox:
    """The outgoing messages of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def put(self, outgoing: Outgoing, *, at: datetime, update_id: str | None = None) -> Outgoing:
        """Store a message that is to be delivered now, and return it with its id."""
        picture, document = outgoing.picture, outgoing.document
        album = [_write_picture(one) for one in outgoing.pictures]
        key = self._connection.execute(
            insert(outbox),
            {
                "person": outgoing.person,
                "text": outgoing.text,
                "buttons": [[button.label, button.data] for button in outgoing.buttons],
                "picture": None if picture is None else _write_picture(picture),
                "pictures": album or None,
                "document_name": None if document is None else document.name,
                "document": None if document is None else document.data,
                "replaces": outgoing.replaces,
                "answers_to": outgoing.answers_to,
                "reaction": outgoing.reaction,
                "silent": outgoing.silent,
                "pinned": outgoing.pinned,
                "unpins": outgoing.unpins,
                "reminder": outgoing.reminder,
                "entry_id": outgoing.entry_id,
                "update_id": update_id,
                "state": "unsent",
                "attempts": 1,
                "queued_at": at,
            },
        ).inserted_primary_key
        assert key is not None  # one row with an integer key always has one
        return replace(outgoing, id=key[0])

    def sent(self, refs: Mapping[int, str], *, at: datetime) -> None:
        """Note that messages were delivered: their ids, and the channel's id for each."""
        if refs:
            rows = [{"key": key, "new_ref": ref, "at": at} for key, ref in refs.items()]
            self._connection.execute(_SENT, rows)

    def uncertain(self, outgoing_id: int, why: str, at: datetime) -> None:
        """Note that a message was perhaps delivered; it is not sent again."""
        self._set(outgoing_id, state="uncertain", error=why, settled_at=at)

    def failed(self, outgoing_id: int, why: str, at: datetime) -> None:
        """Note that a message could not be delivered; it is not sent again."""
        self._set(outgoing_id, state="failed", error=why, settled_at=at)

    def unsent(self, serves: str | Collection[str] = "%", busy: Collection[int] = ()) -> list[Outgoing]:
        """Return what a start finds unsent, oldest first; call it before anything is being sent.

        serves: to whom, as some people or the beginning of several (`tg:%`); busy: but for these
        What was cut off `MOST_ATTEMPTS` times while it was being sent becomes uncertain instead.
        """
        left: list[ColumnElement[bool] | TextClause] = [text(UNSENT), is_served(outbox.c.person, serves)]
        if busy:
            left.append(outbox.c.id.not_in(busy))
        rows = self._connection.execute(select(outbox).where(*left).order_by(outbox.c.id)).all()
        for row in rows:
            if row.attempts >= MOST_ATTEMPTS:
                self._set(row.id, state="uncertain", error="cut off each time it was sent")
        return [_read(row) for row in rows if row.attempts < MOST_ATTEMPTS]

    def waits_for(self, people: Collection[str], busy: Collection[int]) -> set[str]:
        """Return for whom of some people something is unsent, but for these."""
        query = select(outbox.c.person).where(
            text(UNSENT), outbox.c.person.in_(people), outbox.c.id.not_in(busy)
        )
        return set(self._connection.scalars(query))

    def queued_before(self, at: datetime, outgoing_ids: Collection[int]) -> set[int]:
        """Return which of some messages have waited since before an instant."""
        query = select(outbox.c.id).where(outbox.c.id.in_(outgoing_ids), outbox.c.queued_at < at)
        return set(self._connection.scalars(query.where(text(UNSENT))))

    def whose(self, before: datetime, serves: str) -> set[str]:
        """Return the people for whom something was unsent already at an instant."""
        query = select(outbox.c.person).where(
            text(UNSENT), outbox.c.queued_at < before, is_served(outbox.c.person, serves)
        )
        return set(self._connection.scalars(query.distinct()))

    def attempt(self, outgoing_id: int) -> None:
        """Count that a message which an earlier run left is now being sent."""
        self._set(outgoing_id, attempts=outbox.c.attempts + 1)

    def refused(self, *outgoing_ids: int) -> None:
        """Note that messages were certainly not delivered by what was tried so far."""
        self._connection.execute(update(outbox).where(outbox.c.id.in_(outgoing_ids)).values(attempts=0))

    def queued_at(self, outgoing_id: int) -> datetime | None:
        """Return since when a message is to be delivered; None when it is settled or went with its person."""
        at: datetime | None = self._connection.scalar(
            select(outbox.c.queued_at).where(outbox.c.id == outgoing_id, text(UNSENT))
        )
        return at

    def entry_of(self, person: str, ref: str) -> int | None:
        """Return the entry that a sent message of ours was about."""
        return self._connection.scalar(
            select(outbox.c.entry_id)
            .where(outbox.c.person == person, outbox.c.ref == ref)
            .order_by(outbox.c.id.desc())
            .limit(1)
        )

    def pictures_of(self, person: str, outgoing_id: int) -> tuple[PictureSpec, ...]:
        """Return the pictures that came with a message to a person."""
        found = self._read_all(select(outbox).where(outbox.c.id == outgoing_id, outbox.c.person == person))
        return found[0].drawn if found else ()

    def delivered(self, outgoing_id: int) -> Delivered | None:
        """Return what became of a message; None when it went with its person."""
        row = self._connection.execute(_GET, {"key": outgoing_id}).one_or_none()
        return None if row is None else Delivered(_read(row), row.state, row.ref)

    def recent(self, person: str, n: int) -> list[Outgoing]:
        """Return the `n` messages stored last for a person, newest first."""
        return self._read_all(
            select(outbox).where(outbox.c.person == person).order_by(outbox.c.id.desc()).limit(n)
        )

    def since(self, person: str, at: datetime) -> list[Outgoing]:
        """Return the messages stored for a person from an instant on, oldest first."""
        return self._connection.once(_SINCE, _read, person=person, since=at)

    def _set(self, outgoing_id: int, **values: Any) -> None:
        self._connection.execute(update(outbox).where(outbox.c.id == outgoing_id).values(**values))

    def _read_all(self, query: Select[Any]) -> list[Outgoing]:
        return [_read(row) for row in self._connection.execute(query)]


def _read(row: Row[Any]) -> Outgoing:
    return Outgoing(
        person=row.person,
        text=row.text,
        buttons=tuple(Button(label, data) for label, data in row.buttons),
        picture=None if row.picture is None else _read_picture(row.picture),
        document=None if row.document_name is None else Document(row.document_name, row.document),
        pictures=tuple(_read_picture(one) for one in row.pictures or ()),
        replaces=row.replaces,
        answers_to=row.answers_to,
        reaction=row.reaction,
        silent=row.silent,
        pinned=row.pinned,
        unpins=row.unpins,
        reminder=row.reminder,
        entry_id=row.entry_id,
        id=row.id,
    )


def _write_picture(picture: PictureSpec) -> dict[str, object]:
    return {
        "kind": picture.kind,
        "name": picture.name,
        "entry_id": picture.entry_id,
        "since": None if picture.since is None else picture.since.isoformat(),
        "until": None if picture.until is None else picture.until.isoformat(),
        "groups": [[label, list(ids)] for label, ids in picture.groups],
        "in_words": picture.in_words,
        "version": picture.version,
        "pdf": picture.pdf,
    }


def _read_picture(data: dict[str, Any]) -> PictureSpec:
    spans = {name: data[name] and datetime.fromisoformat(data[name]) for name in ("since", "until")}
    groups = tuple((label, tuple(ids)) for label, ids in data.get("groups", ()))  # rows of earlier versions
    return PictureSpec(**data | spans | {"groups": groups})
