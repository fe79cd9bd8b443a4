"""Who may post readings for whom. Of a token only its hash is kept: the table lets nobody in."""

import hashlib
import secrets
from datetime import datetime

from sqlalchemy import bindparam, delete, select

from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.on_conflict import build_insert
from bot.store.tables import tokens

_MAKE = build_insert(
    tokens,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person"], set_={name: insert.excluded[name] for name in ("digest", "made_at")}
    ),
)
_HOLDER = select(tokens.c.person).where(tokens.c.digest == bindparam("digest"))


class Tokens:
    """The tokens of one transaction; a person has at most one."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal

    def make(self, person: str, at: datetime) -> str:
        """Return a new token of a person, in place of an earlier one; it cannot be read again."""
        self._journal.before(tokens, person=person)
        token = secrets.token_urlsafe(32)
        self._connection.execute(
            _MAKE[self._connection.dialect.name], {"person": person, "digest": _hash(token), "made_at": at}
        )
        return token

    def holder(self, token: str) -> str | None:
        """Return whose token this is, None when it is nobody's."""
        return self._connection.scalar(_HOLDER, {"digest": _hash(token)})

    def drop(self, person: str) -> bool:
        """End a person's token; False when there is none."""
        self._journal.before(tokens, person=person)
        return self._connection.execute(delete(tokens).where(tokens.c.person == person)).rowcount == 1


def _hash(token: str) -> str:
    # A plain hash is enough: a token is 256 random bits, which nobody finds by trying.
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).hexdigest()
