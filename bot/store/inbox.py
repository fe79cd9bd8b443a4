"""Received updates: stored before they are acknowledged, handled once.

A row goes from `new` to `done`, `failed` (its handling broke; it waits for another start) or `parked`
(started too often).
"""

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import bindparam, select, text, update

from bot.store.connection import Connection
from bot.store.message_tables import inbox
from bot.store.metadata import WAITING
from bot.store.on_conflict import build_insert
from bot.store.records import InboxRow, InboxState

_of_update = inbox.alias()
_ADD = build_insert(inbox, lambda insert: insert.on_conflict_do_nothing(index_elements=["update_id"]))
_CLAIM = build_insert(
    inbox,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["update_id"],
        set_={name: insert.excluded[name] for name in ("state", "raw", "settled_at")},
        where=inbox.c.state != "done",
    ),
)
_OVERTAKEN = (
    select(inbox.c.id)
    .where(
        inbox.c.person == bindparam("person"),
        inbox.c.id
        > select(_of_update.c.id).where(_of_update.c.update_id == bindparam("update_id")).scalar_subquery(),
        inbox.c.state == "done",
    )
    .limit(1)
)

_CAME = select(inbox.c.id).where(inbox.c.update_id == bindparam("update_id"))


class Inbox:
    """The received updates of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, update_id: str, person: str, raw: str, at: datetime) -> bool:
        """Store an update as the channel received it; False when it was there already."""
        added = self._connection.execute(
            _ADD[self._connection.dialect.name],
            {
                "update_id": update_id,
                "person": person,
                "raw": raw,
                "state": "new",
                "attempts": 0,
                "received_at": at,
            },
        )
        return added.rowcount == 1

    def claim(self, update_id: str, person: str, at: datetime) -> bool:
        """Mark an update as done, stored before or not; False when it was done already.

        In the transaction that handles the update, so that both happen or neither.
        """
        claimed = self._connection.execute(
            _CLAIM[self._connection.dialect.name],
            {
                "update_id": update_id,
                "person": person,
                "raw": "",
                "state": "done",
                "attempts": 1,
                "received_at": at,
                "settled_at": at,
            },
        )
        return claimed.rowcount == 1

    def is_overtaken(self, update_id: str, person: str) -> bool:
        """Tell whether something that came from this person after an update was handled before it."""
        return self._connection.scalar(_OVERTAKEN, {"update_id": update_id, "person": person}) is not None

    def came_after(self, update_id: str, earlier: str) -> bool:
        """Tell whether an update came after another one; their times are too coarse for that."""
        came, before = (self._connection.scalar(_CAME, {"update_id": one}) for one in (update_id, earlier))
        return came is not None and before is not None and came > before

    def attempt(self, update_id: str) -> int:
        """Count one more start of handling an update and return how many that makes."""
        self._connection.execute(
            update(inbox).where(inbox.c.update_id == update_id).values(attempts=inbox.c.attempts + 1)
        )
        attempts: int | None = self._connection.scalar(
            select(inbox.c.attempts).where(inbox.c.update_id == update_id)
        )
        if attempts is None:
            raise KeyError(update_id)
        return attempts

    def finish(self, update_id: str, at: datetime) -> None:
        """Mark an update as done and empty its raw text; one that went with an erased person is no error."""
        self._settle(update_id, "done", at, raw="")

    def fail(self, update_id: str, error: str, at: datetime) -> None:
        """Note that handling an update broke; it waits for another start."""
        self._settle(update_id, "failed", at, error=error)

    def park(self, update_id: str, error: str, at: datetime) -> None:
        """Put aside an update that was started too often; it waits no more."""
        self._settle(update_id, "parked", at, error=error)

    def state(self, update_id: str) -> InboxState | None:
        """Return an update's state, None when it is unknown."""
        return self._connection.scalar(select(inbox.c.state).where(inbox.c.update_id == update_id))

    def waiting(self, people: Collection[str] | None = None, *, failed: bool = True) -> list[InboxRow]:
        """Return the updates not handled yet (of some people), new or failed, in the order they came.

        failed: also those whose handling broke, which wait for a start
        """
        wanted = [] if people is None else [inbox.c.person.in_(people)]
        rows = self._connection.execute(
            select(
                inbox.c.update_id,
                inbox.c.person,
                inbox.c.raw,
                inbox.c.state,
                inbox.c.attempts,
                inbox.c.received_at,
                inbox.c.error,
            )
            .where(text(WAITING), *wanted, *([] if failed else [inbox.c.state == "new"]))
            .order_by(inbox.c.id)
        )
        return [InboxRow(*row) for row in rows]

    def whose(self, before: datetime, *, failed: bool) -> set[str]:
        """Return the people for whom something waits that was received before an instant."""
        states = ("new", "failed") if failed else ("new",)
        query = select(inbox.c.person).where(
            text(WAITING), inbox.c.received_at < before, inbox.c.state.in_(states)
        )
        return set(self._connection.scalars(query.distinct()))

    def _settle(self, update_id: str, state: InboxState, at: datetime, **values: str) -> None:
        self._connection.execute(
            update(inbox).where(inbox.c.update_id == update_id).values(state=state, settled_at=at, **values)
        )
