"""Which comparisons a person asked for: the more there are, the surer one must be to claim a difference."""

from datetime import datetime

from sqlalchemy import select

from bot.store.connection import Connection
from bot.store.on_conflict import build_insert
from bot.store.tables import comparisons

_KEEP = build_insert(
    comparisons,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person", "sides"],
        set_={name: insert.excluded[name] for name in ("p", "asked_at")},
    ),
)


class Comparisons:
    """The comparisons of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def keep(self, person: str, sides: str, p: float, at: datetime) -> None:
        """Keep the p-value of a comparison, in the place of what it was before."""
        row = {"person": person, "sides": sides, "p": p, "asked_at": at}
        self._connection.execute(_KEEP[self._connection.dialect.name], row)

    def all(self, person: str) -> dict[str, float]:
        """Return the p-value of each comparison that was asked for, by its sides."""
        asked = select(comparisons.c.sides, comparisons.c.p).where(comparisons.c.person == person)
        return {row.sides: row.p for row in self._connection.execute(asked.order_by(comparisons.c.sides))}
