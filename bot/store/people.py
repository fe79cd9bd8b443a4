"""Who talks to the bot, and their settings."""

from datetime import datetime, time
from typing import Any, TypedDict, Unpack
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import Row, bindparam, delete, select, update

from bot.language.texts import Language
from bot.language.times import ClockStyle
from bot.model.units import GlucoseUnit
from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.log import forget_read
from bot.store.on_conflict import build_insert
from bot.store.records import Manner, Mode, Person, Remind
from bot.store.tables import metadata, people

QUIET_FROM, QUIET_TO = time(23, 0), time(6, 30)  # half an hour less than a sensor remembers
SYNC_LEAD_MIN = 60
MEMORY_MIN = 480

_GET = select(people).where(people.c.id == bindparam("person"))
_LOCK = select(people.c.id).where(people.c.id == bindparam("person")).with_for_update()
_ADD = build_insert(people, lambda insert: insert.on_conflict_do_nothing())


class Settings(TypedDict, total=False):
    """What a person can change."""

    zone: str
    unit: GlucoseUnit
    quiet_from: time
    quiet_to: time
    sync_lead_min: int
    memory_min: int
    remind: Remind
    nudge: bool
    sensor_days: int
    no_checks_until: datetime | None
    unit_chosen: bool
    pictures: Mode
    talk: Manner
    language: Language
    clock: ClockStyle
    card: bool
    reviews: bool
    evening: bool
    scores: bool


class People:
    """The people of one transaction."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal
        self._known: dict[str, Person] = {}
        self.erased: list[str] = []

    def get(self, person: str) -> Person | None:
        """Return a person, None when unknown; read once in a transaction."""
        if person not in self._known:
            row = self._connection.execute(_GET, {"person": person}).one_or_none()
            if row is None:
                return None
            self._known[person] = _read(row)
        return self._known[person]

    def ensure(
        self, person: str, *, zone: str, unit: GlucoseUnit, at: datetime, talk: Manner = "short"
    ) -> Person:
        """Return a person as they are, or a new one with these settings; an unknown zone is a ValueError."""
        known = self.get(person)
        if known is None:
            self._connection.execute(
                _ADD[self._connection.dialect.name],
                {
                    "id": person,
                    "zone": _check_zone(zone),
                    "unit": unit,
                    "quiet_from": QUIET_FROM,
                    "quiet_to": QUIET_TO,
                    "sync_lead_min": SYNC_LEAD_MIN,
                    "memory_min": MEMORY_MIN,
                    "created_at": at,
                    "talk": talk,
                },
            )
        return known or self._require(person)

    def lock(self, person: str) -> None:
        """Have other transactions about this person wait for this one; SQLite has one writer anyway."""
        if self._connection.dialect.name != "sqlite":
            self._connection.execute(_LOCK, {"person": person})
            self._known.pop(person, None)

    def update(self, person: str, **changes: Unpack[Settings]) -> Person:
        """Change settings and return the person; nobody of that name is a KeyError."""
        if "zone" in changes:
            _check_zone(changes["zone"])
        if changes:
            self._journal.before(people, only=changes.keys(), id=person)
            self._connection.execute(update(people).where(people.c.id == person).values(**changes))
            self._known.pop(person, None)
        return self._require(person)

    def reread(self, person: str) -> None:
        """Forget what was read of a person in this transaction: their row was changed."""
        self._known.pop(person, None)

    def all(self) -> list[Person]:
        """Return everybody, by when they came."""
        rows = self._connection.execute(select(people).order_by(people.c.created_at, people.c.id))
        return [_read(row) for row in rows]

    def erase(self, person: str) -> None:
        """Delete everything of a person, in every table (an entry's changes go with the entry)."""
        for table in reversed(metadata.sorted_tables):
            if "person" in table.c:
                self._connection.execute(delete(table).where(table.c.person == person))
        self._connection.execute(delete(people).where(people.c.id == person))
        self._known.pop(person, None)
        self.erased.append(person)
        forget_read()

    def _require(self, person: str) -> Person:
        known = self.get(person)
        if known is None:
            raise KeyError(person)
        return known


def _read(row: Row[Any]) -> Person:
    return Person(**{**row._mapping, "zone": ZoneInfo(row.zone)})


def _check_zone(key: str) -> str:
    try:
        return ZoneInfo(key).key
    except ZoneInfoNotFoundError:
        raise ValueError(f"{key!r} is not a time zone") from None
