"""The questions with buttons that were put to a person, each once, and what they answered."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, cast

from sqlalchemy import BigInteger, Row, bindparam, select, update

from bot.model.entries import Correction
from bot.model.entries_json import from_json, to_json
from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.on_conflict import build_insert
from bot.store.records import Asked as Record
from bot.store.tables import asked

_ADD = build_insert(
    asked,
    lambda insert: insert.on_conflict_do_nothing(index_elements=["person", "about"]).returning(asked.c.id),
)
_GET = select(asked).where(asked.c.id == bindparam("key", type_=BigInteger))
_LATEST = select(asked).where(asked.c.person == bindparam("person")).order_by(asked.c.id.desc()).limit(1)
_ABOUT = select(asked).where(asked.c.person == bindparam("person"), asked.c.about == bindparam("about"))


class Asked:
    """The questions of one transaction."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal

    def put(
        self, person: str, about: str, entry_id: int, choices: Sequence[tuple[str, Correction]], at: datetime
    ) -> int | None:
        """Note a question and return its id; None when it was put to this person before."""
        written = [[label, to_json(correction)] for label, correction in choices]
        row = {"person": person, "about": about, "entry_id": entry_id, "choices": written, "asked_at": at}
        key: int | None = self._connection.scalar(_ADD[self._connection.dialect.name], row)
        return key

    def get(self, asked_id: int) -> Record | None:
        """Return a question by its id."""
        row = self._connection.execute(_GET, {"key": asked_id}).one_or_none()
        return None if row is None else _read(row)

    def latest(self, person: str, apart_from: Sequence[str] = ()) -> Record | None:
        """Return the question put last, answered or not, apart from those about what starts so."""
        others = [~asked.c.about.startswith(start, autoescape=True) for start in apart_from]
        row = self._connection.execute(_LATEST.where(*others), {"person": person}).one_or_none()
        return None if row is None else _read(row)

    def about(self, person: str, about: str) -> Record | None:
        """Return the question about something, None when it was never asked."""
        if not self._connection.holds(asked, person):
            return None
        row = self._connection.execute(_ABOUT, {"person": person, "about": about}).one_or_none()
        return None if row is None else _read(row)

    def answer(self, asked_id: int, correction: Correction, at: datetime) -> None:
        """Keep the answer to a question, in place of an earlier one."""
        self._journal.before(asked, only=("about", "answer", "answered_at"), id=asked_id)
        self._connection.execute(
            update(asked).where(asked.c.id == asked_id).values(answer=to_json(correction), answered_at=at)
        )


def _read(row: Row[Any]) -> Record:
    choices = tuple((label, cast(Correction, from_json(body))) for label, body in row.choices)
    answer = None if row.answer is None else cast(Correction, from_json(row.answer))
    return Record(row.id, row.person, row.about, row.entry_id, choices, answer)
