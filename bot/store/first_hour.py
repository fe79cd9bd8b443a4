"""What a newcomer is asked in their first hour, each thing once, and the invented sample they may look at."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    ForeignKey,
    Integer,
    Row,
    String,
    Table,
    bindparam,
    delete,
    false,
    insert,
    select,
    update,
)

from bot.store.columns import UtcDateTime
from bot.store.connection import Connection
from bot.store.records import Topic
from bot.store.tables import entries, imports, metadata

first_hour = Table(
    "first_hour",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("topic", String, primary_key=True),
    Column("place", Integer, nullable=False),
    Column("begun_at", UtcDateTime, nullable=False),
    Column("asked_at", UtcDateTime),
    Column("settled", Boolean, nullable=False, server_default=false()),
)

samples = Table(
    "samples",
    metadata,
    Column("person", String, ForeignKey("people.id", ondelete="CASCADE"), primary_key=True),
    Column("update_id", String, nullable=False),
)

_OF_PERSON = (
    select(first_hour.c.topic, first_hour.c.begun_at, first_hour.c.asked_at, first_hour.c.settled)
    .where(first_hour.c.person == bindparam("person"))
    .order_by(first_hour.c.place)
)
_SAMPLE = select(samples.c.update_id).where(samples.c.person == bindparam("person"))

_OLD_SAMPLES = (
    select(samples.c.person)
    .join(
        entries,
        (entries.c.person == samples.c.person) & (entries.c.update_id == samples.c.update_id),
    )
    .where(entries.c.logged_at < bindparam("before"))
    .distinct()
)


def _read_topic(row: Row[Any]) -> Topic:
    return Topic(row.topic, row.begun_at, row.asked_at, row.settled)


class FirstHour:
    """The first hours of one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def begin(self, person: str, topics: Sequence[str], at: datetime) -> None:
        """Note what is to be asked, in this order; nothing is asked of who began before."""
        if not self.topics(person):
            rows = [
                {"person": person, "topic": topic, "place": place, "begun_at": at}
                for place, topic in enumerate(topics)
            ]
            self._connection.execute(insert(first_hour), rows)

    def topics(self, person: str) -> list[Topic]:
        """Return what somebody is or was asked, in its order."""
        return self._connection.once(_OF_PERSON, _read_topic, person=person)

    def ask(self, person: str, topic: str, at: datetime) -> None:
        """Note that a thing was asked, and is open."""
        of_topic = (first_hour.c.person == person) & (first_hour.c.topic == topic)
        self._connection.execute(update(first_hour).where(of_topic).values(asked_at=at, settled=False))

    def settle(self, person: str, *topics: str) -> None:
        """Note that things were answered, learnt or passed over, so that they are not asked any more."""
        of_topics = (first_hour.c.person == person) & first_hour.c.topic.in_(topics)
        self._connection.execute(update(first_hour).where(of_topics).values(settled=True))

    def sample(self, person: str) -> str | None:
        """Return the update that the invented sample of somebody is known by, None where there is none."""
        update_id: str | None = self._connection.scalar(_SAMPLE, {"person": person})
        return update_id

    def keep_sample(self, person: str, update_id: str) -> None:
        """Note that what an update stored was invented."""
        self._connection.execute(insert(samples).values(person=person, update_id=update_id))

    def drop_samples(self, before: datetime) -> None:
        """Take out every invented sample that was stored before an instant."""
        for person in self._connection.scalars(_OLD_SAMPLES, {"before": before}).all():
            self.drop_sample(person)

    def drop_sample(self, person: str) -> bool:
        """Take the invented sample out, without a trace; False when there is none."""
        update_id = self.sample(person)
        if update_id is None:
            return False
        for table in (imports, entries):  # readings and changes go with them
            self._connection.execute(
                delete(table).where(table.c.person == person, table.c.update_id == update_id)
            )
        self._connection.execute(delete(samples).where(samples.c.person == person))
        return True
