"""Messages on their way out: stored with what they answer, then delivered, at most twice.

A row goes from `queued` to `sending` and then to `sent`, `uncertain` (perhaps delivered) or `failed`.
"""

from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, insert, select, text, update

from bot.messages import Button, Document, Outgoing, PictureSpec
from bot.store.serving import is_served
from bot.store.tables import UNSENT, outbox

MOST_ATTEMPTS = 2


class Outbox:
    """The outgoing messages of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def put(
        self,
        outgoing: Outgoing,
        *,
        at: datetime,
        update_id: str | None = None,
        entry_id: int | None = None,
    ) -> Outgoing:
        """Queue a message and return it with its id; `entry_id` is what it is about where it says nothing."""
        if outgoing.entry_id is None:
            outgoing = replace(outgoing, entry_id=entry_id)
        picture, document = outgoing.picture, outgoing.document
        key = self._connection.execute(
            insert(outbox).values(
                person=outgoing.person,
                text=outgoing.text,
                buttons=[[button.label, button.data] for button in outgoing.buttons],
                picture=None if picture is None else _write_picture(picture),
                document_name=None if document is None else document.name,
                document=None if document is None else document.data,
                replaces=outgoing.replaces,
                reminder=outgoing.reminder,
                entry_id=outgoing.entry_id,
                update_id=update_id,
                state="queued",
                attempts=0,
                queued_at=at,
            )
        ).inserted_primary_key
        assert key is not None  # one row with an integer key always has one
        return replace(outgoing, id=key[0])

    def attempt(self, outgoing_id: int) -> int:
        """Note that sending begins and return how many times it has begun."""
        self._set(outgoing_id, state="sending", attempts=outbox.c.attempts + 1)
        attempts: int | None = self._connection.scalar(
            select(outbox.c.attempts).where(outbox.c.id == outgoing_id)
        )
        if attempts is None:
            raise KeyError(outgoing_id)
        return attempts

    def sent(self, outgoing_id: int, *, ref: str | None, at: datetime) -> None:
        """Note that a message was delivered; `ref` is the channel's id for it."""
        self._set(outgoing_id, state="sent", ref=ref, settled_at=at)

    def uncertain(self, outgoing_id: int, why: str, at: datetime) -> None:
        """Note that a message was perhaps delivered; it is not sent again."""
        self._set(outgoing_id, state="uncertain", error=why, settled_at=at)

    def failed(self, outgoing_id: int, why: str, at: datetime) -> None:
        """Note that a message could not be delivered; it is not sent again."""
        self._set(outgoing_id, state="failed", error=why, settled_at=at)

    def unsent(self, serves: str = "%") -> list[Outgoing]:
        """Return what a start finds undelivered, oldest first; call it before anything is being sent.

        serves: to whom, as one person or the beginning of several (`tg:%`).
        A message whose sending was cut off is among them once; after `MOST_ATTEMPTS` it becomes uncertain.
        """
        served = is_served(outbox.c.person, serves)
        self._connection.execute(
            update(outbox)
            .where(text(UNSENT), outbox.c.state == "sending", outbox.c.attempts >= MOST_ATTEMPTS, served)
            .values(state="uncertain", error="cut off each time it was sent")
        )
        return self._read_all(select(outbox).where(text(UNSENT), served).order_by(outbox.c.id))

    def entry_of(self, person: str, ref: str) -> int | None:
        """Return the entry that a sent message of ours was about."""
        return self._connection.scalar(
            select(outbox.c.entry_id)
            .where(outbox.c.person == person, outbox.c.ref == ref)
            .order_by(outbox.c.id.desc())
            .limit(1)
        )

    def recent(self, person: str, n: int) -> list[Outgoing]:
        """Return the `n` messages queued last for a person, newest first."""
        return self._read_all(
            select(outbox).where(outbox.c.person == person).order_by(outbox.c.id.desc()).limit(n)
        )

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
        replaces=row.replaces,
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
    }


def _read_picture(data: dict[str, Any]) -> PictureSpec:
    spans = {name: data[name] and datetime.fromisoformat(data[name]) for name in ("since", "until")}
    return PictureSpec(**data | spans)
