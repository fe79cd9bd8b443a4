"""The words of a person's own: foods they taught, meals they gave a name."""

from datetime import datetime
from typing import cast

from sqlalchemy import bindparam, delete, select

from bot.model.entries import Meal
from bot.model.entries_json import from_json, to_json
from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.on_conflict import build_insert
from bot.store.records import Word, WordKind
from bot.store.tables import personal_words

_TEACH = build_insert(
    personal_words,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person", "name"],
        set_={name: insert.excluded[name] for name in ("kind", "body", "taught_at")},
    ),
)
_ALL = select(personal_words).where(personal_words.c.person == bindparam("person"))
_ALL = _ALL.order_by(personal_words.c.name)


class Words:
    """The personal words of one transaction; names are kept in lower case."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal

    def teach(self, person: str, name: str, kind: WordKind, meal: Meal, at: datetime) -> Word:
        """Keep what a name stands for, in place of what it stood for before."""
        self._journal.before(personal_words, person=person, name=name.lower())
        self._connection.execute(
            _TEACH[self._connection.dialect.name],
            {"person": person, "name": name.lower(), "kind": kind, "body": to_json(meal), "taught_at": at},
        )
        return Word(name.lower(), kind, meal, at)

    def get(self, person: str, name: str) -> Word | None:
        """Return what a name stands for, None when it was not taught."""
        return next((word for word in self.all(person) if word.name == name.lower()), None)

    def all(self, person: str) -> list[Word]:
        """Return all words of a person, by name."""
        if not self._connection.holds(personal_words, person):
            return []
        rows = self._connection.execute(_ALL, {"person": person})
        return [Word(row.name, row.kind, cast(Meal, from_json(row.body)), row.taught_at) for row in rows]

    def forget(self, person: str, name: str) -> bool:
        """Drop a word; False when there was none of that name."""
        self._journal.before(personal_words, person=person, name=name.lower())
        gone = self._connection.execute(
            delete(personal_words)
            .where(personal_words.c.person == person, personal_words.c.name == name.lower())
            .execution_options(preserve_rowcount=True)
        )
        return gone.rowcount == 1
