"""Meals that two people set side by side: offered by code, taken by one other, agreed to, ended by either.

Of a code only its hash is kept, and that until it was taken; a share that was ended leaves no row.
"""

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, delete, insert, or_, select, update

from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.records import Share
from bot.store.tables import shares

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Crockford's base 32: no letter that is taken for a digit. Eight of them are 40 random bits."""
HALF = 4
LASTS = timedelta(hours=24)
"""So long a code can be taken, and what was taken be agreed to; what seems to last longer does not stand."""
_DELETED_AFTER = timedelta(days=400)
"""So long after its end, or a clock that is a year ahead would delete what still can be agreed to."""


def make_code() -> str:
    """Return a new code; each half holds a digit, so that it is no word."""
    halves: list[str] = []
    while len(halves) < 2:
        half = "".join(secrets.choice(LETTERS) for _ in range(HALF))
        if any(char.isdigit() for char in half):
            halves.append(half)
    return "-".join(halves)


class Shares:
    """The shares of one transaction."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal

    def offer(self, person: str, words: str, at: datetime) -> str:
        """Return a code for a meal of a person, in place of an earlier one of that meal not agreed to."""
        self._journal.before(shares, only=("words",), person=person, words=words)
        self._connection.execute(
            delete(shares).where(
                shares.c.person == person, shares.c.words == words, shares.c.agreed_at.is_(None)
            )
        )
        code = make_code()
        row = {"person": person, "words": words, "digest": _hash(code), "expires_at": at + LASTS}
        self._connection.execute(insert(shares), row)
        return code

    def find(self, code: str, now: datetime) -> Share | None:
        """Return the share that a code stands for, None for one that was taken, ended, or is too old."""
        return next(iter(self._read(_stands(now), shares.c.digest == _hash(code))), None)

    def take(self, share: Share, other: str) -> bool:
        """Let somebody take a share: its code is used up; False where another was quicker."""
        self._journal.before(shares, only=("words", "other"), id=share.id)
        found = self._connection.execute(
            update(shares)
            .where(shares.c.id == share.id, shares.c.other.is_(None))
            .values(other=other, digest=None)
        )
        return found.rowcount == 1

    def agree(self, share: Share, at: datetime) -> None:
        """Note that both agree."""
        self._journal.before(shares, only=("words", "agreed_at"), id=share.id)
        self._connection.execute(update(shares).where(shares.c.id == share.id).values(agreed_at=at))

    def drop(self, share: Share) -> None:
        """End one share."""
        self._journal.before(shares, only=("words",), id=share.id)
        self._connection.execute(delete(shares).where(shares.c.id == share.id))

    def all(self, person: str, now: datetime) -> list[Share]:
        """Return what somebody shares, offered, or took, in the order of time."""
        return self._read(_stands(now), or_(shares.c.person == person, shares.c.other == person))

    def get(self, share_id: int) -> Share | None:
        """Return a share by its id; None for one that ended."""
        return next(iter(self._read(shares.c.id == share_id)), None)

    def drop_expired(self, now: datetime) -> None:
        """Delete what was offered and not agreed to long ago."""
        ended = shares.c.expires_at <= now - _DELETED_AFTER
        self._connection.execute(delete(shares).where(shares.c.agreed_at.is_(None), ended))

    def _read(self, *where: ColumnElement[bool]) -> list[Share]:
        chosen = (
            shares.c.id, shares.c.person, shares.c.other, shares.c.words, shares.c.expires_at,
            shares.c.agreed_at,
        )  # fmt: skip
        rows = self._connection.execute(select(*chosen).where(*where).order_by(shares.c.id))
        return [Share(**row._mapping) for row in rows]


def _stands(now: datetime) -> ColumnElement[bool]:
    in_time = shares.c.expires_at.between(now + timedelta.resolution, now + LASTS)
    return or_(shares.c.agreed_at.is_not(None), in_time)


def _hash(code: str) -> str:
    # A code lives for a day and is used once: among 2^40 nobody finds it by asking the bot.
    return hashlib.sha256(code.replace("-", "").upper().encode("utf-8", "surrogateescape")).hexdigest()
