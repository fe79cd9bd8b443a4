"""What people say about themselves: medicines, what they avoid, what they do each week."""

from datetime import datetime
from typing import Any

from sqlalchemy import Row, bindparam, delete, insert, select

from bot.model.entries import Fact
from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.tables import facts

MOST_FACTS = 100
"""Of one person; the oldest gives way."""


_OF = select(facts).where(facts.c.person == bindparam("person")).order_by(facts.c.id)


class Facts:
    """The facts of one transaction."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal

    def keep(self, person: str, fact: Fact, at: datetime) -> bool:
        """Keep a fact; False when it was known."""
        known = self.all(person)
        if any((each.what, each.value) == (fact.what, fact.value) for each in known):
            return False
        if len(known) >= MOST_FACTS:
            self.forget(person, known[0])
        self._journal.before(facts, person=person, what=fact.what, value=fact.value)
        row = {"person": person, "what": fact.what, "value": fact.value, "said": fact.said, "told_at": at}
        self._connection.execute(insert(facts).values(**row))
        return True

    def all(self, person: str) -> list[Fact]:
        """Return everything that somebody said of themselves, in the order said."""
        return [fact for fact, _ in self._told(person)]

    def told(self, person: str, what: str) -> list[tuple[Fact, datetime]]:
        """Return the facts of one sort with when each was told."""
        return [(fact, at) for fact, at in self._told(person) if fact.what == what]

    def _told(self, person: str) -> list[tuple[Fact, datetime]]:
        held = self._connection.holds(facts, person)
        return self._connection.once(_OF, _read, person=person) if held else []

    def forget(self, person: str, fact: Fact) -> None:
        """Drop a fact."""
        self._journal.before(facts, person=person, what=fact.what, value=fact.value)
        self._connection.execute(
            delete(facts).where(
                facts.c.person == person, facts.c.what == fact.what, facts.c.value == fact.value
            )
        )


def _read(row: Row[Any]) -> tuple[Fact, datetime]:
    return Fact(row.what, row.value, row.said), row.told_at
