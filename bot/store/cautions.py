"""Which caution was said to whom, and when: none is said again and again."""

from datetime import datetime, timedelta

from sqlalchemy import select

from bot.model.entries import Concern
from bot.store.connection import Connection
from bot.store.on_conflict import build_insert
from bot.store.tables import cautions

NOT_AGAIN_FOR = timedelta(days=7)
_SAY = build_insert(
    cautions,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person", "kind"],
        set_={name: insert.excluded[name] for name in ("level", "said_at")},
    ),
)


class Cautions:
    """The cautions of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def is_due(self, person: str, concern: Concern, at: datetime) -> bool:
        """Tell whether a caution is to be said: not within a week of the last, unless it got worse."""
        found = select(cautions.c.level, cautions.c.said_at).where(
            cautions.c.person == person, cautions.c.kind == concern.kind
        )
        last = self._connection.execute(found).one_or_none()
        return last is None or abs(at - last.said_at) >= NOT_AGAIN_FOR or concern.level > last.level

    def say(self, person: str, concern: Concern, at: datetime) -> None:
        """Keep that a caution was said."""
        row = {"person": person, "kind": concern.kind, "level": concern.level, "said_at": at}
        self._connection.execute(_SAY[self._connection.dialect.name], row)
