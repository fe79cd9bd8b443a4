"""Reminders: rows with plain columns, due at an instant, sent once."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import (
    Integer,
    Select,
    bindparam,
    delete,
    exists,
    func,
    insert,
    or_,
    select,
    text,
    update,
)

from bot.store.connection import Connection
from bot.store.metadata import PENDING, SENT
from bot.store.records import Reminder
from bot.store.serving import is_served
from bot.store.tables import people, reminders

AT_ONCE = 50
"""How many due reminders one tick takes."""
MARKS = ("rise", "held")
"""Kinds that only mark that something was said or kept back."""

_PENDING = (
    select(reminders)
    .where(reminders.c.person == bindparam("person"), text(PENDING))
    .order_by(reminders.c.due_at, reminders.c.id)
)
# On PostgreSQL what is due is claimed together with whom it is for, as a turn locks the person before
# anything else of theirs: so the clock and a turn cannot end up waiting for each other.
_ALONG = (
    _PENDING.join(people, people.c.id == reminders.c.person)
    .where(reminders.c.due_at <= bindparam("until"))
    .with_for_update(skip_locked=True, of=[reminders, people])
)
_MARK = (
    update(reminders)
    .where(reminders.c.id == bindparam("key"))
    .values(state=bindparam("state"), settled_at=bindparam("settled_at"))
)
_PERSON_LOCKED = select(people.c.id).where(people.c.id == bindparam("person")).with_for_update()
_SAME = (
    reminders.c.person == bindparam("of"),
    reminders.c.kind == bindparam("same_kind"),
    reminders.c.entry_id.is_not_distinct_from(bindparam("same_entry", type_=Integer)),
)
_IS_SETTLED = select(
    exists().where(*_SAME, reminders.c.state != "pending", reminders.c.due_at == bindparam("due"))
)
_MOVE = update(reminders).where(*_SAME, text(PENDING)).values(due_at=bindparam("due"))
_CANCEL = delete(reminders).where(*_SAME, text(PENDING))
_LAST_SENT = (
    select(reminders)
    .where(
        reminders.c.person == bindparam("person"),
        reminders.c.kind == bindparam("kind"),
        text(SENT),
    )
    .order_by(reminders.c.settled_at.desc(), reminders.c.id.desc())
    .limit(1)
)


_SENT_SINCE = (
    select(reminders)
    .where(
        reminders.c.person == bindparam("person"),
        reminders.c.kind == bindparam("kind"),
        reminders.c.settled_at >= bindparam("since"),
        text(SENT),
    )
    .order_by(reminders.c.settled_at)
)
_SAID_AT = select(reminders).where(
    reminders.c.person == bindparam("person"),
    reminders.c.settled_at == bindparam("at"),
    reminders.c.kind.not_in(MARKS),
    text(SENT),
)
_AHEAD = (
    select(reminders.c.id)
    .where(
        reminders.c.person == bindparam("of"),
        text(SENT),
        or_(reminders.c.due_at > bindparam("far"), reminders.c.settled_at > bindparam("far")),
    )
    .limit(1)
)
_EARLY = delete(reminders).where(
    reminders.c.person == bindparam("of"), text(SENT), reminders.c.due_at > bindparam("far")
)
_SENT_AHEAD = (
    update(reminders)
    .where(reminders.c.person == bindparam("of"), text(SENT), reminders.c.settled_at > bindparam("far"))
    .values(settled_at=bindparam("now"))
)
_AGAIN = update(reminders).where(reminders.c.id == bindparam("key")).values(state="pending", settled_at=None)
_SOME_SENT = (
    select(reminders.c.id)
    .where(reminders.c.person == bindparam("person"), reminders.c.kind == bindparam("kind"), text(SENT))
    .limit(bindparam("most"))
)
_PLANNED_SINCE = select(reminders.c.id).where(*_SAME, reminders.c.due_at > bindparam("since")).limit(1)


class Reminders:
    """The reminders of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._locked: set[str] = set()

    def plan(self, person: str, kind: str, due_at: datetime, entry_id: int | None = None) -> None:
        """Have one reminder of this kind (about this entry) pending at `due_at`.

        The one that is pending moves there. Where one was sent or dropped for that very instant already,
        none is pending afterwards.
        """
        if person not in self._locked and self._connection.dialect.name != "sqlite":
            # Two plans for one person wait for each other here; SQLite has one writer anyway.
            self._connection.execute(_PERSON_LOCKED, {"person": person})
        self._locked.add(person)
        same = {"of": person, "same_kind": kind, "same_entry": entry_id}
        if self._connection.scalar(_IS_SETTLED, {**same, "due": due_at}):
            self.cancel(person, kind, entry_id)
            return
        if not self._connection.execute(_MOVE, {**same, "due": due_at}).rowcount:
            row = {"person": person, "kind": kind, "entry_id": entry_id, "due_at": due_at, "state": "pending"}
            self._connection.execute(insert(reminders), row)

    def cancel(self, person: str, kind: str, entry_id: int | None = None) -> None:
        """Delete the pending reminder of this kind (about this entry), if there is one."""
        self._connection.execute(_CANCEL, {"of": person, "same_kind": kind, "same_entry": entry_id})

    def pending(self, person: str) -> list[Reminder]:
        """Return a person's pending reminders, the next one first."""
        return self._read_all(_PENDING, person=person)

    def due(self, now: datetime, serves: str = "%", without: Collection[str] = ()) -> list[Reminder]:
        """Return the reminders due by `now`, longest due first, at most `AT_ONCE`.

        serves: whose, as one person or the beginning of several (`tg:%`); without: none of these kinds
        For a transaction that writes: on PostgreSQL they are its own until it ends, and those of another
        are passed over.
        """
        found = self._read_all(
            select(reminders)
            .join(people, people.c.id == reminders.c.person)
            .where(
                text(PENDING),
                reminders.c.due_at <= now,
                *([reminders.c.kind.not_in(without)] if without else []),
                is_served(reminders.c.person, serves),
            )
            .order_by(reminders.c.due_at, reminders.c.id)
            .limit(AT_ONCE)
            .with_for_update(skip_locked=True, of=[reminders, people])
        )
        self._locked |= {reminder.person for reminder in found}
        return found

    def due_of(self, kinds: Sequence[str], now: datetime, serves: str, most: int) -> list[Reminder]:
        """Return what is due of some kinds, longest due first, at most so many; nobody else has to wait."""
        found = []
        for kind in kinds:  # of several at once all that are due would have to be sorted
            query = (
                select(reminders)
                .where(
                    text(PENDING),
                    reminders.c.due_at <= now,
                    reminders.c.kind == kind,
                    is_served(reminders.c.person, serves),
                )
                .order_by(reminders.c.due_at, reminders.c.id)
                .limit(most)
            )
            found += self._read_all(query)
        return sorted(found, key=lambda one: (one.due_at, one.id))[:most]

    def next_due_at(self, serves: str = "%") -> datetime | None:
        """Return when the next reminder of those served is due, None when none is planned."""
        query = select(func.min(reminders.c.due_at)).where(
            text(PENDING), is_served(reminders.c.person, serves)
        )
        soonest: datetime | None = self._connection.scalar(query)
        return soonest

    def mark(self, ids: Sequence[int], state: Literal["sent", "dropped"], at: datetime) -> None:
        """Settle some reminders."""
        self._connection.execute(_MARK, [{"key": one, "state": state, "settled_at": at} for one in ids])

    def take_back(self, person: str, at: datetime) -> None:
        """Have pending again what was said to a person at an instant and did not reach them.

        What was planned after it in its place goes.
        """
        said = self._read_all(_SAID_AT, person=person, at=at)
        for reminder in said:
            self.cancel(person, reminder.kind, reminder.entry_id)
            self._connection.execute(_AGAIN, {"key": reminder.id})

    def forget_ahead(self, person: str, now: datetime, far: datetime) -> None:
        """Put right what was said by a clock that was ahead of `now`, as its instants lie after `far`.

        What is not due by then is as if never said; the rest counts as said just now, or none of its kind
        would come for as long as the clock was ahead.
        """
        if self._connection.scalar(_AHEAD, {"of": person, "far": far}) is None:
            return
        self._connection.execute(_EARLY, {"of": person, "far": far})
        self._connection.execute(_SENT_AHEAD, {"of": person, "far": far, "now": now})

    def due_along(self, person: str, until: datetime) -> list[Reminder]:
        """Return what falls due for a person by `until`, to be said along with what is due now."""
        return self._read_all(_ALONG, person=person, until=until)

    def add_sent(self, person: str, kind: str, due_at: datetime, at: datetime) -> None:
        """Note something that was said at once, about `due_at`, so that it is not said again."""
        row = {"person": person, "kind": kind, "due_at": due_at, "state": "sent", "settled_at": at}
        self._connection.execute(insert(reminders), row)

    def sent_since(self, person: str, kind: str, since: datetime) -> list[Reminder]:
        """Return the reminders of this kind that were sent from `since` on, oldest first."""
        return self._read_all(_SENT_SINCE, person=person, kind=kind, since=since)

    def count_sent(self, person: str, kind: str, most: int) -> int:
        """Return how often a reminder of this kind was sent, counting no further than `most`."""
        values = {"person": person, "kind": kind, "most": most}
        return len(self._connection.execute(_SOME_SENT, values).all())

    def is_planned_since(self, person: str, kind: str, since: datetime, entry_id: int | None = None) -> bool:
        """Tell whether there is, or was, one of this kind (about this entry) for an instant after `since`."""
        values = {"of": person, "same_kind": kind, "same_entry": entry_id, "since": since}
        return self._connection.scalar(_PLANNED_SINCE, values) is not None

    def last_sent(self, person: str, kind: str) -> Reminder | None:
        """Return the reminder of this kind that was sent last."""
        return next(iter(self._read_all(_LAST_SENT, person=person, kind=kind)), None)

    def _read_all(self, query: Select[Any], **values: str | datetime) -> list[Reminder]:
        return [Reminder(**row._mapping) for row in self._connection.execute(query, values)]
