"""Who may talk to a bot that is not open to all: whoever took an invitation.

Of a code only its hash is kept, and that until it is taken.
"""

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, and_, delete, func, insert, select, update

from bot.store.connection import Connection
from bot.store.tables import invitations

LASTS = timedelta(days=7)
"""So long an invitation can be taken; one that seems to last longer was made by a clock that was ahead."""
_DELETED_AFTER = timedelta(days=400)
"""So long after its end, or a clock that is a year ahead would delete those that still can be taken."""
MOST_OPEN = 10
"""So many that nobody took may be out at once."""


class Invitations:
    """The invitations of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def make(self, at: datetime) -> str:
        """Return the code of a new invitation: 22 letters, digits, - and _, 128 random bits."""
        self._connection.execute(
            delete(invitations).where(
                invitations.c.person.is_(None), invitations.c.expires_at <= at - _DELETED_AFTER
            )
        )
        code = secrets.token_urlsafe(16)
        self._connection.execute(
            insert(invitations), {"digest": _hash(code), "person": None, "expires_at": at + LASTS}
        )
        return code

    def make_first(self, at: datetime) -> str | None:
        """Return the code of a new invitation in place of all not taken yet; None when one was taken."""
        if self._connection.scalar(
            select(invitations.c.id).where(invitations.c.person.is_not(None)).limit(1)
        ):
            return None
        self._connection.execute(delete(invitations))
        return self.make(at)

    def take(self, code: str, person: str, at: datetime) -> bool:
        """Let a person in by a code, once; False when it is none, was taken or is too old."""
        taken = self._connection.execute(
            update(invitations)
            .where(invitations.c.digest == _hash(code), _can_be_taken(at))
            .values(person=person, digest=None)
        )
        return taken.rowcount == 1

    def may_invite(self, person: str) -> bool:
        """Tell whether a person took the first of all invitations: whose bot it is."""
        first = select(invitations.c.person).where(invitations.c.person.is_not(None))
        return self._connection.scalar(first.order_by(invitations.c.id).limit(1)) == person

    def open_count(self, at: datetime) -> int:
        """Return how many invitations can be taken now."""
        can_be = _can_be_taken(at)
        return self._connection.scalar(select(func.count()).select_from(invitations).where(can_be)) or 0

    def took(self, person: str) -> bool:
        """Tell whether a person took one."""
        return (
            self._connection.scalar(select(invitations.c.id).where(invitations.c.person == person).limit(1))
            is not None
        )


def _can_be_taken(at: datetime) -> ColumnElement[bool]:
    expires_at = invitations.c.expires_at
    return and_(invitations.c.person.is_(None), expires_at > at, expires_at <= at + LASTS)


def _hash(code: str) -> str:
    return hashlib.sha256(code.encode()).hexdigest()
