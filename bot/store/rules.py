"""Rules of eating that people drew for themselves, in their own words; and which entries stay private.

A rule that is changed or dropped is ended, not deleted, so that it can be put back. What the bot proposed is
a rule without a place; once dropped, the same words are not proposed again.
"""

from datetime import datetime

from sqlalchemy import delete, func, insert, select, update

from bot.store.connection import Connection
from bot.store.records import Rule
from bot.store.rule_tables import private_entries, rules


class Rules:
    """The rules of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def all(self, person: str) -> list[Rule]:
        """Return the rules that stand, in their order."""
        kept = (rules.c.place.is_not(None), rules.c.ended_at.is_(None))
        query = select(rules).where(rules.c.person == person, *kept).order_by(rules.c.place, rules.c.id)
        return [Rule(row.id, row.person, row.place, row.text) for row in self._connection.execute(query)]

    def get(self, rule_id: int) -> Rule | None:
        """Return a rule, ended or not."""
        row = self._connection.execute(select(rules).where(rules.c.id == rule_id)).one_or_none()
        return None if row is None else Rule(row.id, row.person, row.place, row.text)

    def add(self, person: str, text: str, at: datetime) -> Rule:
        """Keep a new rule behind the others."""
        return self._insert(person, text, self._next_place(person), at)

    def propose(self, person: str, text: str, at: datetime) -> Rule | None:
        """Return a proposal by its words; None where they were kept or dropped before."""
        of = (rules.c.person == person, rules.c.text == text)
        row = self._connection.execute(select(rules).where(*of).limit(1)).one_or_none()
        if row is None:
            return self._insert(person, text, None, at)
        waits = row.place is None and row.ended_at is None
        return Rule(row.id, row.person, None, row.text) if waits else None

    def keep(self, rule: Rule) -> None:
        """Make a proposal a rule, or put one back that was ended; what took its place gives way."""
        place = self._next_place(rule.person) if rule.place is None else rule.place
        self._connection.execute(
            delete(rules).where(
                rules.c.person == rule.person, rules.c.place == place, rules.c.ended_at.is_(None)
            )
        )
        self._connection.execute(
            update(rules).where(rules.c.id == rule.id).values(place=place, ended_at=None)
        )

    def change(self, rule: Rule, text: str, at: datetime) -> Rule:
        """Put other words in the place of a rule."""
        self.end(rule, at)
        return self._insert(rule.person, text, rule.place, at)

    def end(self, rule: Rule, at: datetime) -> None:
        """Drop a rule."""
        self._connection.execute(update(rules).where(rules.c.id == rule.id).values(ended_at=at))

    def _next_place(self, person: str) -> int:
        last = self._connection.scalar(select(func.max(rules.c.place)).where(rules.c.person == person))
        return (last or 0) + 1

    def _insert(self, person: str, text: str, place: int | None, at: datetime) -> Rule:
        row = {"person": person, "place": place, "text": text, "said_at": at}
        key = self._connection.execute(insert(rules), row).inserted_primary_key
        assert key is not None  # one row with an integer key always has one
        return Rule(key[0], person, place, text)


class PrivateEntries:
    """The entries of one transaction that are left out of what is shared."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, person: str) -> frozenset[int]:
        """Return the ids of a person's private entries."""
        query = select(private_entries.c.entry_id).where(private_entries.c.person == person)
        return frozenset(self._connection.scalars(query))

    def mark(self, person: str, entry_id: int) -> None:
        """Make an entry private."""
        self.unmark(entry_id)
        self._connection.execute(insert(private_entries), {"person": person, "entry_id": entry_id})

    def unmark(self, entry_id: int) -> None:
        """Make an entry like any other."""
        self._connection.execute(delete(private_entries).where(private_entries.c.entry_id == entry_id))
