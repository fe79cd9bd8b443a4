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
        self._put_off: list[tuple[str, str, float, datetime]] | None = None

    def put_off(self) -> list[tuple[str, str, float, datetime]]:
        """Keep nothing from now on, as this transaction only reads; return the list of what is to be kept."""
        self._put_off = []
        return self._put_off

    def keep(self, person: str, sides: str, p: float, at: datetime) -> None:
        """Keep the p-value of a comparison, in the place of what it was before."""
        if self._put_off is not None:
            self._put_off.append((person, sides, p, at))
            return
        row = {"person": person, "sides": sides, "p": p, "asked_at": at}
        self._connection.execute(_KEEP[self._connection.dialect.name], row)

    def all(self, person: str) -> dict[str, float]:
        """Return the p-value of each comparison that was asked for, by its sides."""
        asked = select(comparisons.c.sides, comparisons.c.p).where(comparisons.c.person == person)
        kept = {row.sides: row.p for row in self._connection.execute(asked.order_by(comparisons.c.sides))}
        return kept | {sides: p for of, sides, p, _ in self._put_off or () if of == person}
