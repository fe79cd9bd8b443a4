"""The card of the day that is pinned in somebody's chat: which message it is, and of which hours."""

from dataclasses import asdict

from sqlalchemy import bindparam, delete, select

from bot.store.connection import Connection
from bot.store.message_tables import cards
from bot.store.on_conflict import build_insert
from bot.store.records import Card

_KEEP = build_insert(
    cards,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person"],
        set_={name: insert.excluded[name] for name in ("since", "until", "outbox_id", "ref", "basis")},
    ),
)
_GET = select(cards).where(cards.c.person == bindparam("person"))


class Cards:
    """The cards of one transaction: one a person, of the day that they are in or were in last."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def get(self, person: str) -> Card | None:
        """Return the card that was shown last to a person."""
        row = self._connection.execute(_GET, {"person": person}).one_or_none()
        return None if row is None else Card(**row._mapping)

    def keep(self, card: Card) -> None:
        """Keep a card in the place of the one before."""
        self._connection.execute(_KEEP[self._connection.dialect.name], asdict(card))

    def drop(self, person: str) -> None:
        """Forget a person's card."""
        self._connection.execute(delete(cards).where(cards.c.person == person))
