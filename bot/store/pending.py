"""The one question of ours that may be open with a person."""

from datetime import datetime

from sqlalchemy import bindparam, delete, select

from bot.store import records
from bot.store.connection import Connection
from bot.store.on_conflict import build_insert
from bot.store.tables import pending

_ASK = build_insert(
    pending,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person"],
        set_={name: insert.excluded[name] for name in ("about", "entry_id", "asked_at", "expires_at")},
    ),
)
_GET = select(pending.c.about, pending.c.entry_id, pending.c.asked_at, pending.c.expires_at).where(
    pending.c.person == bindparam("person"), pending.c.expires_at > bindparam("now")
)


class Pending:
    """The open questions of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def ask(self, person: str, about: str, entry_id: int | None, at: datetime, expires_at: datetime) -> None:
        """Note what was asked, in place of an earlier question."""
        self._connection.execute(
            _ASK[self._connection.dialect.name],
            {
                "person": person,
                "about": about,
                "entry_id": entry_id,
                "asked_at": at,
                "expires_at": expires_at,
            },
        )

    def get(self, person: str, now: datetime) -> records.Pending | None:
        """Return the open question, None when there is none or its time is over."""
        if not self._connection.holds(pending, person):
            return None
        row = self._connection.execute(_GET, {"person": person, "now": now}).one_or_none()
        return None if row is None else records.Pending(*row)

    def clear(self, person: str) -> None:
        """Forget the open question."""
        self._connection.execute(delete(pending).where(pending.c.person == person))
