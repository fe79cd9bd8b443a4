"""Photos of meals: kept as memories, private unless the person says otherwise."""

from collections.abc import Collection, Iterator
from datetime import datetime

from sqlalchemy import and_, bindparam, delete, func, insert, select, update

from bot.store.connection import Connection
from bot.store.records import Photo
from bot.store.tables import entries, photos

_ABOUT = (photos.c.id, photos.c.person, photos.c.entry_id, photos.c.at, photos.c.message_id, photos.c.shared)

_WAITING = (
    select(photos.c.id)
    .where(
        photos.c.person == bindparam("person"),
        photos.c.entry_id.is_(None),
        photos.c.at >= bindparam("since"),
    )
    .order_by(photos.c.id)
)


class Photos:
    """The photos of one transaction. Their bytes are read only by `kept`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, person: str, jpeg: bytes, *, at: datetime, message_id: str | None) -> int:
        """Keep a photo that is of no meal yet; return its id."""
        row = {"person": person, "jpeg": jpeg, "at": at, "message_id": message_id, "shared": False}
        key = self._connection.execute(insert(photos), row).inserted_primary_key
        assert key is not None  # one row with an integer key always has one
        return int(key[0])

    def get(self, person: str, photo_id: int) -> Photo | None:
        """Return a photo of a person, without its bytes; None when it is not there or another's."""
        query = select(*_ABOUT).where(photos.c.id == photo_id, photos.c.person == person)
        row = self._connection.execute(query).one_or_none()
        return None if row is None else Photo(**row._mapping)

    def newest(self, person: str, message_id: str | None = None) -> Photo | None:
        """Return the photo that came last, or that of one message; without its bytes."""
        query = select(*_ABOUT).where(photos.c.person == person)
        if message_id is not None:
            query = query.where(photos.c.message_id == message_id)
        row = self._connection.execute(query.order_by(photos.c.id.desc()).limit(1)).one_or_none()
        return None if row is None else Photo(**row._mapping)

    def sizes(self, person: str) -> list[tuple[int, int]]:
        """Return the id and the bytes of each photo of a person, oldest first."""
        found = select(photos.c.id, func.length(photos.c.jpeg)).where(photos.c.person == person)
        return [(row[0], row[1]) for row in self._connection.execute(found.order_by(photos.c.id))]

    def total(self, person: str) -> int:
        """Return the bytes of all photos of a person."""
        found = select(func.sum(func.length(photos.c.jpeg))).where(photos.c.person == person)
        return int(self._connection.scalar(found) or 0)

    def bytes_of(self, person: str, photo_ids: Collection[int]) -> Iterator[tuple[int, bytes]]:
        """Give, one after the other, those of some photos that are a person's: their ids, and their JPEGs."""
        query = select(photos.c.id, photos.c.jpeg).where(
            photos.c.person == person, photos.c.id.in_(photo_ids)
        )
        rows = self._connection.execute(query.order_by(photos.c.id), execution_options={"yield_per": 20})
        return ((row[0], bytes(row[1])) for row in rows)

    def waiting(self, person: str, since: datetime) -> list[int]:
        """Return the ids of photos since an instant that are of no meal yet, oldest first."""
        if not self._connection.holds(photos, person):
            return []
        return list(self._connection.scalars(_WAITING, {"person": person, "since": since}))

    def put_with(self, photo_id: int, entry_id: int | None) -> None:
        """Have a photo be of a meal, by its entry, or of none."""
        self._set(photo_id, entry_id=entry_id)

    def share(self, photo_id: int, *, shared: bool) -> None:
        """Let a photo be in what others are shown, or not."""
        self._set(photo_id, shared=shared)

    def drop(self, photo_id: int) -> None:
        """Delete a photo."""
        self._connection.execute(delete(photos).where(photos.c.id == photo_id))

    def kept(
        self, person: str, since: datetime, until: datetime, *, shared_only: bool = False
    ) -> list[tuple[Photo, bytes]]:
        """Return the photos of the meals noted in [since, until), by when these were, each with its JPEG.

        shared_only: only what the person lets others see
        """
        query = (
            select(*_ABOUT, photos.c.jpeg)
            .join(entries, and_(entries.c.id == photos.c.entry_id, entries.c.removed_at.is_(None)))
            .where(photos.c.person == person, entries.c.at >= since, entries.c.at < until)
            .order_by(entries.c.at, photos.c.id)
        )
        if shared_only:
            query = query.where(photos.c.shared)
        rows = self._connection.execute(query)
        return [(Photo(*row[:-1]), bytes(row[-1])) for row in rows]

    def _set(self, photo_id: int, **values: object) -> None:
        self._connection.execute(update(photos).where(photos.c.id == photo_id).values(**values))
