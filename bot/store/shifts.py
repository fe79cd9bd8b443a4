"""Shift patterns and when they change: each is a name for the quiet hours that go with it."""

from datetime import date, time

from sqlalchemy import bindparam, delete, select

from bot.store.connection import Connection
from bot.store.journal import Journal
from bot.store.on_conflict import build_insert
from bot.store.records import Shift, Switch
from bot.store.tables import shift_switches, shifts, shifts_begun

_SET = build_insert(
    shifts,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person", "name"],
        set_={name: insert.excluded[name] for name in ("quiet_from", "quiet_to")},
    ),
)
_PLAN = build_insert(
    shift_switches,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person", "from_on"], set_={"name": insert.excluded.name}
    ),
)
_BEGIN = build_insert(
    shifts_begun,
    lambda insert: insert.on_conflict_do_update(
        index_elements=["person", "from_on"], set_={"name": insert.excluded.name}
    ),
)
_BEGUN = (
    select(shifts_begun.c.from_on, shifts_begun.c.name)
    .where(shifts_begun.c.person == bindparam("person"))
    .order_by(shifts_begun.c.from_on)
)
_SWITCHES = (
    select(shift_switches.c.from_on, shift_switches.c.name)
    .where(shift_switches.c.person == bindparam("person"))
    .order_by(shift_switches.c.from_on)
)
_SHIFTS = (
    select(shifts.c.name, shifts.c.quiet_from, shifts.c.quiet_to)
    .where(shifts.c.person == bindparam("person"))
    .order_by(shifts.c.name)
)


class Shifts:
    """The shift patterns of one transaction."""

    def __init__(self, connection: Connection, journal: Journal) -> None:
        self._connection, self._journal = connection, journal

    def all(self, person: str) -> list[Shift]:
        """Return a person's patterns by name."""
        return [Shift(*row) for row in self._connection.execute(_SHIFTS, {"person": person})]

    def set(self, person: str, name: str, quiet_from: time, quiet_to: time) -> None:
        """Have a pattern of this name with these quiet hours."""
        self._journal.before(shifts, person=person, name=name)
        row = {"person": person, "name": name, "quiet_from": quiet_from, "quiet_to": quiet_to}
        self._connection.execute(_SET[self._connection.dialect.name], row)

    def switches(self, person: str) -> list[Switch]:
        """Return the changes that are planned, the next one first."""
        if not self._connection.holds(shift_switches, person):
            return []
        return [Switch(*row) for row in self._connection.execute(_SWITCHES, {"person": person})]

    def plan(self, person: str, from_on: date, name: str) -> None:
        """Plan that the pattern of this name holds from a local day on."""
        self._journal.before(shift_switches, person=person)
        row = {"person": person, "from_on": from_on, "name": name}
        self._connection.execute(_PLAN[self._connection.dialect.name], row)

    def forget_switches(self, person: str, until: date) -> None:
        """Take back the changes planned up to the day `until`: they have happened, or are overruled."""
        self._journal.before(shift_switches, person=person)
        self._connection.execute(
            delete(shift_switches).where(shift_switches.c.person == person, shift_switches.c.from_on <= until)
        )

    def begin(self, person: str, from_on: date, name: str) -> None:
        """Note that the pattern of this name holds from a local day on; what began later no longer does."""
        self._journal.before(shifts_begun, person=person)
        self._connection.execute(
            delete(shifts_begun).where(shifts_begun.c.person == person, shifts_begun.c.from_on > from_on)
        )
        row = {"person": person, "from_on": from_on, "name": name}
        self._connection.execute(_BEGIN[self._connection.dialect.name], row)

    def begun(self, person: str) -> list[Switch]:
        """Return which pattern began when, the first one first."""
        return [Switch(*row) for row in self._connection.execute(_BEGUN, {"person": person})]
